//! `spareseat calc preload`

use super::super::failure::Failure;
use super::super::{Answer, Context};
use super::size;
use super::thread::thread;
use crate::mechanics::preload::{Head, PreloadError, Preloads, Tightened};
use crate::mechanics::thread::Thread;
use crate::report;
use crate::units::printable;

/// The pull a torque leaves in a screw: one number for one friction, a band for a range of it
///
/// It says what a torque is worth, never which torque to set: that stands in the maker's instructions.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The screw's thread, such as M1.6 or M1.6x0.2
    #[arg(long, value_name = "THREAD", value_parser = thread, allow_hyphen_values = true)]
    thread: Thread,
    /// The torque, in Ncm
    #[arg(long, value_name = "NCM", value_parser = torque, allow_hyphen_values = true)]
    torque: f64,
    /// Mean diameter on which the head bears, in mm: half of outer plus inner
    #[arg(long, value_name = "MM", value_parser = bearing, allow_hyphen_values = true)]
    bearing: f64,
    /// The head: flat, or cone: with its half-angle to the screw's axis in degrees, such as cone:30
    #[arg(long, value_name = "HEAD", value_parser = half_angle, allow_hyphen_values = true)]
    head: f64,
    /// Friction in thread and head: a number such as 0.2, or a range such as 0.1..0.4
    #[arg(long, value_name = "FRICTION", value_parser = friction, allow_hyphen_values = true)]
    friction: Friction,
}

/// One friction, or the ends of a range.
#[derive(Debug, Clone, Copy)]
enum Friction {
    One(f64),
    Range(f64, f64),
}

fn torque(text: &str) -> Result<f64, String> {
    size(text, "a torque in Ncm", "25")
}

fn bearing(text: &str) -> Result<f64, String> {
    size(text, "a diameter in mm", "2.0")
}

/// Half-angle of the head in degrees; a flat one has 90.
fn half_angle(text: &str) -> Result<f64, String> {
    let wrong = || {
        format!(
            "'{}' is not a head: expected flat, or cone: and a half-angle over 0 up to 90 degrees, such as cone:30",
            printable(text)
        )
    };
    if text == "flat" {
        return Ok(90.0);
    }
    let angle = text.strip_prefix("cone:").and_then(|t| t.parse::<f64>().ok());
    angle.filter(|a| *a > 0.0 && *a <= 90.0).ok_or_else(wrong)
}

fn friction(text: &str) -> Result<Friction, String> {
    let one = |t: &str| size(t, "a friction", "0.2, or a range such as 0.1..0.4");
    match text.split_once("..") {
        None => one(text).map(Friction::One),
        Some((low, high)) => {
            let (low, high) = (one(low)?, one(high)?);
            if low > high {
                Err(PreloadError::UpsideDown { low, high }.to_string())
            } else {
                Ok(Friction::Range(low, high))
            }
        }
    }
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let found = preloads(args).map_err(Failure::typed)?;
    let text = report::text::preload(&found, context.common.why);
    context.print(None, Answer::yes(text, report::json::preload(&found)))
}

fn preloads(args: &Args) -> Result<Preloads, PreloadError> {
    let head = Head::cone(args.bearing, args.head.to_radians())?;
    let screw = Tightened { thread: args.thread, head };
    match args.friction {
        Friction::One(friction) => Preloads::at(screw, args.torque * 10.0, friction),
        Friction::Range(low, high) => Preloads::over(screw, args.torque * 10.0, low, high),
    }
}
