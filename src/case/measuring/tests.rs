//! Measuring files, the good ones and the others.

use super::*;

fn tooth(iso: u8) -> Tooth {
    Tooth::from_iso(iso).unwrap()
}

fn read(text: &str, unit: Option<MeasureUnit>) -> Result<Vec<Measured>, String> {
    let sites = [24, 25, 27].map(tooth);
    read_measured("scan.csv", text, unit, &sites).map(|(all, _)| all).map_err(|e| e.to_string())
}

fn um(position: [i32; 3]) -> [Length; 3] {
    position.map(Length::from_base)
}

#[test]
fn units_separators_and_quotes_come_to_the_same() {
    let mm = Some(MeasureUnit::Mm);
    for (text, unit) in [
        ("site,x_mm,y_mm,z_mm\n24,1.5,-2,0.0004\n25,25.4,0,0\n", None),
        ("\u{feff}site;x;y;z\r\n24;1,5;-2;0,0004\r\n25;25,4;0;0\r\n", mm),
        ("\"site\",\"x_mm\",\"y_mm\",\"z_mm\"\n\n\"24\",\"1.5\",\"-2\",\"0\"\n\"25\", 25.4 ,+0,0e0\n", mm),
        ("Z_um , Y_um, X_um, Site\n0.4,-2000,1500,24\n0,0,25400,25", None),
        ("site;x_µm;y_µm;z_µm\n24;1500;-2000;0\n25;2.54e4;0;0\n", None),
        ("site,x_in,y_in,z_in\n25,1,0,0\n24,0.0590551,-0.0787402,0\n", Some(MeasureUnit::Inch)),
    ] {
        let mut all = read(text, unit).unwrap();
        all.sort_by_key(|m| m.site);
        let found: Vec<(Tooth, [Length; 3])> = all.iter().map(|m| (m.site, m.position)).collect();
        assert_eq!(found, [(tooth(24), um([1500, -2000, 0])), (tooth(25), um([25_400, 0, 0]))], "{text}");
    }
}

#[test]
fn an_axis_is_a_direction_of_any_length() {
    let text = "site,x_mm,y_mm,z_mm,axis_x,axis_y,axis_z\n24,1,2,3,0,3e200,4e200\n25,4,5,6,,,\n27,7,8,9,0,0,-1e-300\n";
    let axes: Vec<_> = read(text, None).unwrap().iter().map(|m| m.axis).collect();
    assert_eq!(axes, [Some([0, 600_000, 800_000]), None, Some([0, 0, -1_000_000])]);
}

#[test]
fn a_header_that_does_not_say_enough_is_refused_by_name() {
    let all = "site, x_mm, y_mm, z_mm, axis_x, axis_y, axis_z";
    for (header, unit, says) in [
        ("site,x,y,z", None, "the unit is not named: expected x_mm, x_um or x_in in the header (y and z alike), or --unit mm, um or in".to_owned()),
        ("site,x_mm,y_mm,z_mm", Some(MeasureUnit::Inch), "the header says mm, --unit says in: which of the two is right?".to_owned()),
        ("site,x_mm,y_um,z_mm", None, "x, y and z have not one unit: expected the same behind all three".to_owned()),
        ("site,x_mm,y,z_mm", None, "x, y and z have not one unit: expected the same behind all three".to_owned()),
        ("site,x_cm,y_cm,z_cm", None, "column 'x_cm': 'cm' is no unit known here: expected mm, um or in".to_owned()),
        ("site,x_mm,y_mm,z_mm,axis_X,axes_y,axis_z", None, format!("column 'axes_y' is not known here: expected {all}. Did you mean axis_y?")),
        ("site,x_mm,y_mm,z_mm,axis_z", None, "no column 'axis_x', 'axis_y': an axis needs axis_x, axis_y and axis_z".to_owned()),
        ("x_mm,y_mm", None, "no column 'site', 'z': expected site, x_mm, y_mm, z_mm, and axis_x, axis_y, axis_z where axes were measured".to_owned()),
        ("site,x_mm,x_mm,y_mm,z_mm", None, "column 'x' stands twice".to_owned()),
        ("site,x_mm;y_mm,z_mm", None, "the header has commas and semicolons: expected one of the two between all cells".to_owned()),
    ] {
        let refused = read(&format!("{header}\n24,1,2,3\n"), unit).unwrap_err();
        assert!(refused.contains(&format!("\n  scan.csv:1: {says}")), "{header}\n{refused}");
    }
}

#[test]
fn every_mistake_is_named_with_its_line_and_column() {
    let text = "site,x_mm,y_mm,z_mm,axis_x,axis_y,axis_z\n\
        24,1,2,3,0,0,0\n24,NaN,2,inf,0,0,1\n26,1,2,3,0,0,1\n25,1,2,3,0,0,1\n27,1,2,3.0001,0,0,1\n\
        2x,17708,1 2,,0,,1\n25,1,2,3,0,0,1\n25,1,5,3,0,0\n25,1,5,4,5,6,0,0,1\n27,0x1,2,4,0,0,nan\n";
    assert_eq!(
        read(text, None).unwrap_err(),
        "15 mistakes found, nothing was taken:
  scan.csv:2: axis_x, axis_y, axis_z: 0, 0, 0 is no direction
  scan.csv:3: x: 'NaN' is not a number: expected one such as 12.345
  scan.csv:3: z: 'inf' is not a number: expected one such as 12.345
  scan.csv:4: site: tooth 26 (upper left first molar) is no site of the case; its sites: teeth 24, 25 and 27
  scan.csv:6: tooth 27 lies at the same point as tooth 25 in line 5: expected a point a site
  scan.csv:7: axis_y: '' is not a number: expected one such as 12.345
  scan.csv:7: site: '2x' is not a tooth in ISO 3950: expected 11 to 48 (or 51 to 85 for first teeth), such as 25
  scan.csv:7: x: '17708' is not a coordinate: expected -100 to 100 mm. It was read as mm: is that the unit?
  scan.csv:7: y: '1 2' is not a number: expected one such as 12.345
  scan.csv:7: z: '' is not a number: expected one such as 12.345
  scan.csv:8: site: tooth 25 stands in line 5 already
  scan.csv:9: 6 cells: expected 7, as in the header
  scan.csv:10: 9 cells: expected 7, as in the header; a file with decimal commas needs semicolons between its cells
  scan.csv:11: axis_z: 'nan' is not a number: expected one such as 12.345
  scan.csv:11: x: '0x1' is not a number: expected one such as 12.345"
    );
}

#[test]
fn what_is_no_measuring_file_is_refused() {
    for (text, says) in [
        ("", "scan.csv:1: no site in it: expected a header and a line a site"),
        ("site,x_mm,y_mm,z_mm\n", "scan.csv:1: no site in it: expected a header and a line a site"),
        (
            "site;x_mm;y_mm;z_mm\n24;1.5;2,5;3\n",
            "scan.csv:1: decimal points and decimal commas in one file: which of them parts thousands is a guess; expected one of the two",
        ),
    ] {
        let refused = read(text, None).unwrap_err();
        assert_eq!(refused, format!("1 mistake found, nothing was taken:\n  {says}"), "{text}");
    }
    let long = format!("site,x_mm,y_mm,z_mm\n{}", "24,1,2,3\n".repeat(70));
    assert!(
        read(&long, None).unwrap_err().ends_with("scan.csv:66: more than 64 lines: a mouth has 32 teeth")
    );
}
