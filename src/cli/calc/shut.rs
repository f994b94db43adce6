//! `spareseat calc shut`

use super::super::failure::Failure;
use super::super::{Answer, Context, one_of_words};
use super::{number, size};
use crate::fit::shut::{Frame, Hold, Node, Section, efforts, shut};
use crate::mechanics::materials::Materials;
use crate::report;
use crate::units::printable;

/// The forces and moments that would hold a frame down on seats that moved, from pinned to flush
///
/// The frame is joined from node to node by straight beams of one section. The answer gives, node by node and as typed,
/// the force (+ the frame must be pulled down onto its seat, − it presses on its seat) and the moment at a flush seat,
/// then the largest of both with every held node pinned and with every held node flush: the upper bound, since supports
/// and screws are taken as rigid. It says what pulling a bridge down would cost; it is never permission to do so.
///
/// In JSON: nodes with force_n, moment_nmm, moment_x_nmm, moment_y_nmm in the order given; pull_n and moment_nmm, the
/// largest of them; pinned and flush, the same for the two ends of the range.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// A node of the frame, in order: x in mm, y in mm, how much higher its seat stands than as built in µm, and how it
    /// is held: flush (lift and slope), pinned (lift alone), free (nothing: a corner, a pontic)
    #[arg(long = "node", value_name = "X,Y,RISE,HOLD", value_parser = node, allow_hyphen_values = true, required = true)]
    nodes: Vec<Node>,
    /// Height (along the path of insertion) and width of the connectors, in mm
    #[arg(long, value_name = "HEIGHTxWIDTH", value_parser = section, allow_hyphen_values = true)]
    section: Section,
    /// Elastic modulus, in GPa
    #[arg(long, value_name = "GPA", value_parser = modulus, allow_hyphen_values = true, required_unless_present = "material")]
    modulus: Option<f64>,
    /// A material of the table in place of the modulus, such as 'titanium alloy'
    #[arg(long, value_name = "WORDS", conflicts_with = "modulus")]
    material: Option<String>,
    /// Poisson's ratio [default: the material's, else 0.3]
    #[arg(long, value_name = "RATIO", value_parser = poisson, allow_hyphen_values = true)]
    poisson: Option<f64>,
}

fn node(text: &str) -> Result<Node, String> {
    let parts: Vec<&str> = text.split(',').collect();
    let [x, y, rise, hold] = parts[..] else {
        return Err(format!(
            "'{}' has {} of 4 values: expected x in mm, y in mm, rise in µm, and flush, pinned or free, with commas between",
            printable(text),
            parts.len()
        ));
    };
    Ok(Node {
        x_mm: number(x, "x in mm")?,
        y_mm: number(y, "y in mm")?,
        rise_um: number(rise, "rise in µm")?,
        hold: one_of_words(&printable(hold), &Hold::ALL.map(|h| (h, h.word())))?,
    })
}

fn section(text: &str) -> Result<Section, String> {
    let (height, width) = text.split_once(['x', 'X', '×']).ok_or_else(|| {
        format!("'{}' is not a section: expected height x width in mm, such as 4x4", printable(text))
    })?;
    Ok(Section {
        height_mm: size(height, "a height in mm", "4")?,
        width_mm: size(width, "a width in mm", "4")?,
    })
}

fn modulus(text: &str) -> Result<f64, String> {
    size(text, "a modulus in GPa", "110")
}

fn poisson(text: &str) -> Result<f64, String> {
    let ratio = text.parse::<f64>().ok().filter(|r| (0.0..=0.5).contains(r));
    ratio.ok_or_else(|| {
        format!("'{}' is not a Poisson's ratio: expected 0 to 0.5, such as 0.3", printable(text))
    })
}

/// Modulus in GPa, Poisson's ratio, and where the modulus comes from.
fn stiffness(args: &Args) -> Result<(f64, f64, String), Failure> {
    let Some(words) = &args.material else {
        let given = args.modulus.expect("clap asks for a modulus where there is no material");
        return Ok((given, args.poisson.unwrap_or(0.3), "as typed".to_owned()));
    };
    let table = Materials::shipped();
    let found = table.find(words).ok_or_else(|| {
        let listed: Vec<&str> = table.all().iter().map(|m| m.name.as_str()).collect();
        Failure::typed(format!(
            "no modulus is listed for '{}': expected {}, or --modulus GPA",
            printable(words),
            listed.join(", ")
        ))
    })?;
    let source = format!("{}: {}; {}", found.name, found.source, found.mark.words());
    Ok((found.modulus_gpa, args.poisson.unwrap_or(found.poisson), source))
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let (modulus_gpa, poisson, source) = stiffness(args)?;
    let frame = Frame { nodes: args.nodes.clone(), section: args.section, modulus_gpa, poisson };
    let typed = efforts(&frame).map_err(Failure::typed)?;
    let range = shut(&frame).map_err(Failure::typed)?;
    let text = report::text::shut(&frame, &typed, &range, &source, context.common.why);
    context.print(None, Answer::yes(text, report::json::shut(&frame, &typed, &range)))
}
