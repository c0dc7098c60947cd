//! `sledstance draw` writes the drawing of a set-up, its hold envelope, and the card to print, as SVG files.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::choice::{self, Choice};
use super::failure::{DONE, Failure, INFEASIBLE};
use super::inputs::{RiderArgs, SledArgs};
use super::output::write_whole;
use crate::fit::{self, FitStatus, Request, stance_result};
use crate::plan::sheet::{Sheet, card};
use crate::plan::{Units, words};
use crate::sled::Cockpit;
use crate::stance::Stance;
use crate::units::text::System;
use crate::view::card::{self, Paper};
use crate::view::describe::describe;
use crate::view::envelope::envelope;
use crate::view::palette::Theme;
use crate::view::stage::{Ghost, Scene, Shown, Viewport, stage};
use crate::view::svg;

/// Size of the hold envelope's drawing, px; our choice.
const ENVELOPE: (f64, f64) = (520.0, 440.0);

/// Colours of the drawing.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(super) enum Colours {
    /// For snow, in sun.
    Light,
    /// For the night.
    Dark,
    /// Black on white.
    Print,
}

/// Paper of the card.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum Sort {
    /// A4.
    A4,
    /// US Letter.
    Letter,
}

impl From<Colours> for Theme {
    fn from(colours: Colours) -> Self {
        match colours {
            Colours::Light => Self::Light,
            Colours::Dark => Self::Dark,
            Colours::Print => Self::Print,
        }
    }
}

impl From<Sort> for Paper {
    fn from(sort: Sort) -> Self {
        match sort {
            Sort::A4 => Self::A4,
            Sort::Letter => Self::Letter,
        }
    }
}

/// Options of `draw`.
#[derive(Args, Debug)]
pub struct DrawArgs {
    #[command(flatten)]
    rider: RiderArgs,
    #[command(flatten)]
    sled: SledArgs,
    /// A setting that the search leaves as it is: names as for `fit --keep`. Repeatable.
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice::parse, conflicts_with = "set")]
    keep: Vec<Choice>,
    /// Draw these settings instead of the best ones: names as for `pose --set`. Repeatable.
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice::parse)]
    set: Vec<Choice>,
    /// Settings of a former set-up, drawn as an outline behind it. Repeatable.
    #[arg(long, value_name = "NAME=VALUE", value_parser = choice::parse)]
    former: Vec<Choice>,
    /// The stance in front; left out: the first standing one.
    #[arg(long, value_name = "NAME")]
    front: Option<String>,
    /// Leave the other stances' outlines out.
    #[arg(long)]
    alone: bool,
    /// Inches and pounds instead of millimetres and kilograms.
    #[arg(long)]
    inches: bool,
    /// Width of the drawing, px.
    #[arg(long, value_name = "PX", default_value_t = 1080, value_parser = clap::value_parser!(u32).range(320..=6000), help_heading = "Output")]
    width: u32,
    /// Height of the drawing, px.
    #[arg(long, value_name = "PX", default_value_t = 760, value_parser = clap::value_parser!(u32).range(320..=6000), help_heading = "Output")]
    height: u32,
    /// Colours of the drawing and the envelope.
    #[arg(long, value_enum, default_value_t = Colours::Light, help_heading = "Output")]
    theme: Colours,
    /// Write the drawing here.
    #[arg(long, value_name = "FILE", help_heading = "Output", required_unless_present_any = ["hold", "card"])]
    svg: Option<PathBuf>,
    /// Write the hold envelope of the stance in front here.
    #[arg(long, value_name = "FILE", help_heading = "Output")]
    hold: Option<PathBuf>,
    /// Write the card to print here: the drawing, the settings, the work, the checks and the cautions on one page.
    #[arg(long, value_name = "FILE", help_heading = "Output")]
    card: Option<PathBuf>,
    /// Paper of the card.
    #[arg(long, value_enum, default_value_t = Sort::A4, help_heading = "Output")]
    paper: Sort,
}

/// The stance in front: the one that `--front` names, or the first standing one.
pub(super) fn front(stances: &[Stance], named: Option<&str>) -> Result<usize, Failure> {
    let Some(name) = named else {
        return Ok(stances.iter().position(|s| !s.contacts.seated).unwrap_or(0));
    };
    stances.iter().position(|s| s.name == name).ok_or_else(|| {
        let names: Vec<&str> = stances.iter().map(|s| s.name.as_str()).collect();
        Failure::Usage(format!(
            "--front {name}: no such stance; there are {}",
            names.join(", ")
        ))
    })
}

/// Draws.
pub fn run(args: &DrawArgs) -> Result<u8, Failure> {
    let built = args.rider.build()?;
    let sled = args.sled.sled()?;
    let stances = args.sled.stances()?;
    let request = Request::new(&built.rider, &sled, &stances);
    let fit = if args.set.is_empty() {
        let keep = choice::kept(&sled, &args.keep, "--keep")?;
        fit::fit(&Request { keep, ..request })
    } else {
        let given = choice::kept(&sled, &args.set, "--set")?;
        fit::pose(&request, choice::completed(&given, &sled)?.0)
    };
    let front = front(&stances, args.front.as_deref())?;
    let set_up = &fit.best;
    let cockpit = Cockpit::new(&sled, set_up.settings);
    let result = &set_up.stances[front];
    let (units, theme) = (
        if args.inches {
            Units::Imperial
        } else {
            Units::Metric
        },
        Theme::from(args.theme),
    );
    let system = System::from(units);
    let scene = Scene::of(&built.rider, &cockpit, set_up, &stances, front, system);
    if let Some((path, scene)) = args.svg.as_ref().zip(scene) {
        let others: Vec<Shown> = (0..stances.len())
            .filter(|i| !args.alone && *i != front)
            .filter_map(|i| Shown::of(set_up, &stances, i))
            .collect();
        let former = if args.former.is_empty() {
            None
        } else {
            let given = choice::kept(&sled, &args.former, "--former")?;
            Some(choice::completed(&given, &sled)?.0)
        };
        let former = former.map(|settings| Cockpit::new(&sled, settings));
        let before = former
            .as_ref()
            .map(|cockpit| stance_result(&request, cockpit, &stances[front]));
        let ghost = former
            .as_ref()
            .zip(before.as_ref())
            .map(|(cockpit, before)| Ghost {
                name: "former",
                cockpit,
                pose: &before.posture.pose,
            });
        let scene = Scene {
            others: &others,
            ghost,
            ..scene
        };
        let size = Viewport {
            width: f64::from(args.width),
            height: f64::from(args.height),
        };
        let words = describe(
            &stances[front],
            &result.posture,
            &cockpit,
            Some(&result.hold),
            system,
        );
        write_whole(
            path,
            svg::document(&stage(&scene, size), &words.plain(), theme).as_bytes(),
        )?;
    }
    if let Some(path) = &args.hold {
        let made = envelope(&result.hold, &stances[front].goals, ENVELOPE.0, ENVELOPE.1);
        write_whole(path, svg::envelope_document(&made, theme).as_bytes())?;
    }
    if let Some(path) = &args.card {
        let (trouble, _) = words::poor_fit(&fit.status).unwrap_or_default();
        let sheet = Sheet {
            built: &built,
            name: &args.rider.called()?,
            sled: &sled,
            set_up,
            stances: &stances,
            front,
            trouble: &trouble,
            bands: &[],
            code: "",
            units,
        };
        let paper = Paper::from(args.paper);
        let made = card(&sheet)
            .map(|c| card::card(&c, paper))
            .unwrap_or_default();
        write_whole(path, made.as_bytes())?;
    }
    Ok(match fit.status {
        FitStatus::Fits => DONE,
        FitStatus::Infeasible { .. } => INFEASIBLE,
    })
}
