//! The options over each other as files: the drawing, the holds, the page to print.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use crate::command::draw::{self, Colours, Sort};
use crate::command::failure::Failure;
use crate::command::output::write_whole;
use crate::compare::{Column, Comparison};
use crate::hold::Hold;
use crate::plan::compared::{Compared, Traded};
use crate::plan::sheet;
use crate::sled::Cockpit;
use crate::units::text::System;
use crate::view::card::{self, DRAWING, Paper};
use crate::view::envelopes::envelopes;
use crate::view::figure::Wearer;
use crate::view::machine::LeverView;
use crate::view::overlay::{Align, Laid, Trace, overlay};
use crate::view::stage::{Shown, Stage, Viewport};
use crate::view::svg;

/// Size of the drawn holds, px; our choice.
const HOLDS: (f64, f64) = (640.0, 520.0);

/// What the drawing is aligned on.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum On {
    /// The sled.
    Sled,
    /// The hips.
    Hips,
}

/// Files to draw, and how.
#[derive(Args, Debug)]
pub struct DrawnArgs {
    /// Write the options drawn over each other here, as SVG.
    #[arg(long, value_name = "FILE", help_heading = "Drawing")]
    svg: Option<PathBuf>,
    /// Write their hold envelopes over each other here, as SVG.
    #[arg(long, value_name = "FILE", help_heading = "Drawing")]
    hold: Option<PathBuf>,
    /// Write a page to print here, as SVG: the drawing, what differs and the cautions.
    #[arg(long, value_name = "FILE", help_heading = "Drawing")]
    card: Option<PathBuf>,
    /// Paper of the page.
    #[arg(long, value_enum, default_value_t = Sort::A4, help_heading = "Drawing")]
    paper: Sort,
    /// The stance that is drawn, where options do not name their own; left out: the first standing one.
    #[arg(long, value_name = "NAME", help_heading = "Drawing")]
    front: Option<String>,
    /// What the drawing is aligned on.
    #[arg(long, value_enum, default_value_t = On::Sled, help_heading = "Drawing")]
    align: On,
    /// Draw the lever arms from foot and hand to the centre of mass instead of the limbs.
    #[arg(long, help_heading = "Drawing")]
    arms: bool,
    /// Width of the drawing, px.
    #[arg(long, value_name = "PX", default_value_t = 1080, value_parser = clap::value_parser!(u32).range(320..=6000), help_heading = "Drawing")]
    width: u32,
    /// Height of the drawing, px.
    #[arg(long, value_name = "PX", default_value_t = 760, value_parser = clap::value_parser!(u32).range(320..=6000), help_heading = "Drawing")]
    height: u32,
    /// Colours.
    #[arg(long, value_enum, default_value_t = Colours::Light, help_heading = "Drawing")]
    theme: Colours,
}

impl DrawnArgs {
    /// The paper that pages are made for.
    pub fn paper(&self) -> Paper {
        self.paper.into()
    }

    /// Writes what is asked for.
    pub fn write(
        &self,
        comparison: &Comparison,
        said: &Compared,
        system: System,
    ) -> Result<(), Failure> {
        let columns = comparison.columns();
        let fronts: Vec<usize> = columns
            .iter()
            .map(|c| self.front(c))
            .collect::<Result<_, _>>()?;
        let drawn = |size: Viewport| self.drawn(columns, &fronts, system, size);
        if let Some(path) = &self.svg {
            let size = Viewport {
                width: f64::from(self.width),
                height: f64::from(self.height),
            };
            let options = said
                .options
                .iter()
                .map(|o| format!("{}: {}.", o.title, o.says));
            let words: Vec<String> = options
                .chain(said.trades.iter().map(Traded::says))
                .collect();
            let made = svg::document(&drawn(size)?, &words.join(" "), self.theme.into());
            write_whole(path, made.as_bytes())?;
        }
        if let Some(path) = &self.hold {
            let holds = columns.iter().zip(&fronts);
            let holds: Vec<&Hold> = holds.map(|(c, &i)| &c.fit.best.stances[i].hold).collect();
            let made = envelopes(&holds, HOLDS.0, HOLDS.1);
            write_whole(
                path,
                svg::envelope_document(&made, self.theme.into()).as_bytes(),
            )?;
        }
        if let Some(path) = &self.card {
            let page = sheet::comparison(said, drawn(DRAWING)?, "");
            write_whole(path, card::card(&page, self.paper()).as_bytes())?;
        }
        Ok(())
    }

    /// The stance in front of an option.
    fn front(&self, column: &Column) -> Result<usize, Failure> {
        let asked = column.alternative;
        match asked.stance {
            Some(own) => Ok(own),
            None => draw::front(&asked.stances, self.front.as_deref()),
        }
    }

    fn drawn(
        &self,
        columns: &[Column],
        fronts: &[usize],
        system: System,
        size: Viewport,
    ) -> Result<Stage, Failure> {
        let cockpits: Vec<Cockpit> = columns
            .iter()
            .map(|c| Cockpit::new(&c.alternative.sled, c.fit.best.settings))
            .collect();
        let laid = columns
            .iter()
            .zip(&cockpits)
            .zip(fronts)
            .map(|((column, cockpit), &front)| {
                let asked = column.alternative;
                Some(Laid {
                    name: &asked.name,
                    body: Wearer::from(&asked.built.rider),
                    cockpit,
                    levers: LeverView::from(&column.fit.best.levers),
                    shown: Shown::of(&column.fit.best, &asked.stances, front)?,
                })
            });
        let align = match self.align {
            On::Sled => Align::Sled,
            On::Hips => Align::Hips,
        };
        let trace = if self.arms { Trace::Arms } else { Trace::Limbs };
        laid.collect::<Option<Vec<_>>>()
            .and_then(|laid| overlay(&laid, align, trace, system, size))
            .ok_or_else(|| Failure::Fault("there is nothing to draw".to_owned()))
    }
}
