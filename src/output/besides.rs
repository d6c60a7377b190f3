//! What a part may meet besides the storm, and what the chamber holds that it ends in.

use super::screen::Units;
use crate::interceptor::{Chamber, GroundWater, Room};
use crate::pipeline::Assessment;
use crate::units::Flow;
use serde::Serialize;

/// Ground water, as an allowance that is in no flow.
#[derive(Debug, Clone, Serialize)]
pub struct GroundWaterRow {
    /// Soil that it is reckoned with.
    pub soil: String,
    /// Fall of the ground around the part.
    pub ground_fall: f64,
    /// What is added for that, as a share.
    pub added_share: f64,
    /// By what lines in such soil have met, lower and upper end; nothing where no figure is known.
    pub inflow_m3_s: Option<[f64; 2]>,
    /// By the soil's conductivity, with the ground wet to its surface; the same.
    pub seepage_m3_s: Option<[f64; 2]>,
    /// What the ground that drains to the part gives off in the days after rain.
    pub after_rain_m3_s: [f64; 2],
    /// How far uphill the water is drawn down.
    pub drawn_down_m: f64,
}

impl GroundWaterRow {
    pub(super) fn of(assessment: &Assessment<'_>, found: &GroundWater) -> Self {
        let flows = |ends: [Flow; 2]| ends.map(Flow::as_m3_per_s);
        Self {
            soil: assessment.settings.drain.trench_soil.clone(),
            ground_fall: found.fall.get(),
            added_share: found.added,
            inflow_m3_s: found.inflow.map(flows),
            seepage_m3_s: found.seepage.map(flows),
            after_rain_m3_s: flows(found.after_rain),
            drawn_down_m: found.drawn_down.as_m(),
        }
    }

    /// One line, that says what it isn't.
    pub(super) fn words(&self, units: Units) -> String {
        let by_soil = match (self.inflow_m3_s, self.seepage_m3_s) {
            (Some(ends), _) => format!("{} by what drains in {} have met", units.flows(ends), self.soil),
            (None, Some(ends)) => format!("{} by what {} conducts", units.flows(ends), self.soil),
            (None, None) => format!("nothing is known of {}", self.soil),
        };
        format!(
            "ground water that the trench may also meet (an allowance, not in the flow): {by_soil}; {} in the days after rain; drawn down for some {} uphill",
            units.flows(self.after_rain_m3_s),
            units.length(self.drawn_down_m)
        )
    }
}

/// The chamber at the end of a part.
#[derive(Debug, Clone, Serialize)]
pub struct ChamberRow {
    /// Water that comes in an hour of the peak's rain.
    pub in_an_hour_m3: f64,
    /// Room where nothing leaves: all that the storm brings; nothing for rain of one intensity, which has no
    /// end.
    pub alone: Option<RoomRow>,
    /// Room with a pump.
    pub pumped: Vec<PumpedRow>,
}

/// Room that is needed.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct RoomRow {
    /// The volume.
    pub volume_m3: f64,
    /// How long the rain lasts that fills it.
    pub lasts_min: f64,
}

/// The same beside a pump.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct PumpedRow {
    /// Flow of the pump.
    pub pump_m3_s: f64,
    /// The room.
    #[serde(flatten)]
    pub room: RoomRow,
}

impl RoomRow {
    fn of(room: &Room) -> Self {
        Self { volume_m3: room.volume.as_m3(), lasts_min: room.lasts.as_min() }
    }
}

impl ChamberRow {
    pub(super) fn of(found: &Chamber) -> Self {
        let pumped = |found: &crate::interceptor::Pumped| PumpedRow {
            pump_m3_s: found.pump.as_m3_per_s(),
            room: RoomRow::of(&found.room),
        };
        Self {
            in_an_hour_m3: found.in_an_hour.as_m3(),
            alone: found.alone.as_ref().map(RoomRow::of),
            pumped: found.pumped.iter().map(pumped).collect(),
        }
    }

    /// What it must hold.
    pub(super) fn words(&self, units: Units) -> String {
        let Some(alone) = &self.alone else {
            return format!(
                "the chamber gets {} in every hour of this rain, which has no end: give a table or a curve (--rainfall, --rain-curve) to size it",
                units.volume(self.in_an_hour_m3)
            );
        };
        let pumped: Vec<String> = self
            .pumped
            .iter()
            .map(|row| {
                format!("{} with a pump of {}", units.volume(row.room.volume_m3), units.flow(row.pump_m3_s))
            })
            .collect();
        format!(
            "the chamber must hold {} if nothing leaves, all of the storm's rain of {:.0} h; {}",
            units.volume(alone.volume_m3),
            alone.lasts_min / 60.0,
            pumped.join(", ")
        )
    }
}
