//! The numbers of the fit sheet: gaps, what it would take to shut them, what two pieces of one drawing do.

use maud::{Markup, html};

use crate::bench::fit::{Fit, NO_PERMISSION, Seated, apart, effort, percent, raised, shutting_words};
use crate::fit::seating::Gap;
use crate::units::{Length, Tooth, visible};

/// Site by site.
pub(super) fn gaps(f: &Fit, seated: &Seated) -> Markup {
    let [first, last] = seated.ends().map(Tooth::iso);
    let both = |g: Gap| format!("{} / {}", apart(g.centre), apart(g.widest));
    html! {
        h2 { "Gaps, in the middle / at the widest edge" }
        table.gaps {
            tr {
                th { "site" } th { "seat" } th { "pressed in the middle" } th { "only screw " (first) " tight" }
                th { "only screw " (last) " tight" } th { "rocked from end to end" } th { "in words" }
            }
            @for s in &seated.sites {
                @let [low, high] = s.rocked();
                tr {
                    td { "tooth " (s.site.iso()) } td { (raised(s.moved.rise)) } td { (both(s.rest)) } td { (both(s.tests[0])) }
                    td { (both(s.tests[1])) } td { (apart(low)) " to " (apart(high)) } td { (s.words(&f.bands)) }
                }
            }
        }
    }
}

/// What it would take to shut them; never without the sentence that this is no permission.
pub(super) fn strains(f: &Fit, seated: &Seated) -> Markup {
    let open = seated.sites.iter().any(|s| s.worst() > f.bands.keeps.number());
    html! {
        @if open {
            h2 { "To shut it: seats that let the frame turn / that hold it flat (upper bound)" }
            @if let Some(no) = &seated.no_strain { p { "Not computed: " (visible(no)) "." } }
            @else {
                table {
                    tr {
                        th { "site" } th { "pull" } th { "moment" } th { "its screw gives" }
                        th { "share of what it gives at least" }
                    }
                    @for (s, strain) in seated.sites.iter().filter_map(|s| Some((s, s.strain?))) {
                        tr {
                            td { "tooth " (s.site.iso()) } td { (effort(strain.pull, "N")) }
                            td { (effort(strain.moment, "Nmm")) } td { (strain.gives_words()) } td { (strain.share_words()) }
                        }
                    }
                }
                p {
                    (shutting_words(seated)) "."
                }
                p.no { (NO_PERMISSION) }
            }
        }
    }
}

/// What two pieces of one drawing do.
pub(super) fn draws(f: &Fit, seated: &Seated) -> Markup {
    let bands = [f.bands.keeps, f.bands.doubtful, f.bands.check].map(Length::number);
    html! {
        @if let Some(scatter) = &seated.scatter {
            p { b { "Two pieces within their drawings" } }
            p { (scatter.draws) " draws: half of them stay within " (apart(scatter.median)) ", nineteen in twenty within "
                (apart(scatter.most)) ". "
                @if scatter.within[2] == 0.0 { "None comes within " (apart(bands[2])) "." }
                @else {
                    @for (n, (band, share)) in bands.iter().zip(&scatter.within).enumerate() {
                        @if n > 0 { ", " } (percent(*share)) " within " (apart(*band))
                    } "."
                } }
        }
    }
}
