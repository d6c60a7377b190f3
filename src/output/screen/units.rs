//! Measures in both systems, one first and the other in brackets.

use crate::units::{Area, Flow, Length, Mass, RainIntensity, Velocity, Volume};

/// Which units come first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Units {
    /// Square feet, feet, gallons per minute; SI in brackets.
    Us,
    /// Square metres, metres, litres per second; US in brackets.
    Si,
}

impl Units {
    /// The system that goes with the map unit of the elevations.
    #[must_use]
    pub fn of_map_unit(name: &str) -> Self {
        let name = name.to_ascii_lowercase();
        if name.contains("foot") || name.contains("feet") || name == "ft" || name.contains("us-ft") {
            Self::Us
        } else {
            Self::Si
        }
    }

    pub(crate) fn area(self, m2: f64) -> String {
        let us = grouped(Area::from_m2(m2).as_ft2());
        self.both(&format!("{} m²", grouped(m2)), &format!("{us} sq ft"))
    }

    pub(crate) fn length(self, m: f64) -> String {
        self.both(&format!("{m:.1} m"), &format!("{:.1} ft", Length::from_m(m).as_ft()))
    }

    /// From one place along the lot line to another.
    pub(crate) fn span(self, from_m: f64, to_m: f64) -> String {
        let ft = |m| Length::from_m(m).as_ft();
        self.both(&format!("{from_m:.1} to {to_m:.1} m"), &format!("{:.1} to {:.1} ft", ft(from_m), ft(to_m)))
    }

    /// Two elevations with a word between them.
    pub(crate) fn levels(self, one_m: f64, word: &str, other_m: f64) -> String {
        let ft = |m| Length::from_m(m).as_ft();
        self.both(
            &format!("{one_m:.2} {word} {other_m:.2} m"),
            &format!("{:.2} {word} {:.2} ft", ft(one_m), ft(other_m)),
        )
    }

    /// One elevation.
    pub(crate) fn level(self, m: f64) -> String {
        self.both(&format!("{m:.2} m"), &format!("{:.2} ft", Length::from_m(m).as_ft()))
    }

    /// Depth of water, or of a trench.
    pub(crate) fn depth(self, m: f64) -> String {
        let depth = Length::from_m(m);
        self.both(&format!("{:.0} cm", depth.as_cm()), &format!("{:.1} in", depth.as_in()))
    }

    /// Width of a trench, or a pipe's outside.
    pub(crate) fn width(self, m: f64) -> String {
        let width = Length::from_m(m);
        self.both(&format!("{:.0} mm", width.as_mm()), &format!("{:.1} in", width.as_in()))
    }

    pub(crate) fn velocity(self, m_s: f64) -> String {
        let ft_s = Velocity::from_m_per_s(m_s).as_ft_per_s();
        self.both(&format!("{m_s:.2} m/s"), &format!("{ft_s:.2} ft/s"))
    }

    pub(crate) fn volume(self, m3: f64) -> String {
        let ft3 = m3 / Length::from_ft(1.0).as_m().powi(3);
        self.both(&format!("{m3:.1} m³"), &format!("{} cu ft", grouped(ft3)))
    }

    /// Depth of rain.
    pub(crate) fn rain(self, mm: f64) -> String {
        self.both(&format!("{mm:.1} mm"), &format!("{:.2} in", Length::from_mm(mm).as_in()))
    }

    pub(crate) fn intensity(self, mm_h: f64) -> String {
        let in_h = RainIntensity::from_mm_per_h(mm_h).as_in_per_h();
        self.both(&format!("{mm_h:.1} mm/h"), &format!("{in_h:.2} in/h"))
    }

    fn both(self, si: &str, us: &str) -> String {
        match self {
            Self::Us => format!("{us} ({si})"),
            Self::Si => format!("{si} ({us})"),
        }
    }

    pub(crate) fn flow(self, m3_s: f64) -> String {
        let flow = Flow::from_m3_per_s(m3_s);
        self.both(
            &format!("{} L/s", digits3(flow.as_l_per_s())),
            &format!("{} gpm, {} cfs", digits3(flow.as_gal_per_min()), digits3(flow.as_ft3_per_s())),
        )
    }

    /// Volume of ground.
    pub(crate) fn earth(self, m3: f64) -> String {
        let yd3 = Volume::from_m3(m3).as_yd3();
        self.both(&format!("{m3:.1} m³"), &format!("{yd3:.1} cu yd"))
    }

    /// Flow by length, of so much a metre.
    pub(crate) fn flow_along(self, m3_s: f64) -> String {
        self.flows_along([m3_s; 2])
    }

    /// From one flow by length to another.
    pub(crate) fn flows_along(self, ends: [f64; 2]) -> String {
        let a_foot = ends.map(|m3_s| m3_s * Length::from_ft(1.0).as_m());
        self.both(
            &format!("{} L/s a metre", range(ends, Flow::as_l_per_s)),
            &format!("{} gpm a foot", range(a_foot, Flow::as_gal_per_min)),
        )
    }

    /// What is bought, in the first system: number and unit.
    pub(crate) fn bought(self, quantity: f64, unit: &'static str) -> (f64, &'static str) {
        match (self, unit) {
            (Self::Us, "m3") => (Volume::from_m3(quantity).as_yd3(), "yd3"),
            (Self::Us, "m2") => (Area::from_m2(quantity).as_ft2(), "ft2"),
            (Self::Us, "m") => (Length::from_m(quantity).as_ft(), "ft"),
            (Self::Us, "t") => (Mass::from_t(quantity).as_short_ton(), "short ton"),
            _ => (quantity, unit),
        }
    }

    /// Places along a way.
    pub(crate) fn stations(self, all_m: &[f64]) -> String {
        let list = |all: Vec<String>| all.join(", ");
        let si = list(all_m.iter().map(|m| format!("{m:.1}")).collect());
        let us = list(all_m.iter().map(|&m| format!("{:.1}", Length::from_m(m).as_ft())).collect());
        self.both(&format!("{si} m"), &format!("{us} ft"))
    }

    /// How far off a pipe may lie.
    pub(crate) fn tolerance(self, mm: f64) -> String {
        let sixteenths = (Length::from_mm(mm).as_in() * 16.0).floor();
        let (number, whole) = if sixteenths % 2.0 == 0.0 { (sixteenths / 2.0, 8) } else { (sixteenths, 16) };
        self.both(&format!("{mm:.0} mm"), &format!("{number:.0}/{whole} in"))
    }

    /// Open area by length, in square centimetres a metre.
    pub(crate) fn open_area(self, cm2_per_m: f64) -> String {
        let in2_per_ft = Area::from_cm2(cm2_per_m).as_in2() * Length::from_ft(1.0).as_m();
        self.both(&format!("{cm2_per_m:.0} cm² a metre"), &format!("{in2_per_ft:.2} in² a foot"))
    }

    /// From one flow to another.
    pub(crate) fn flows(self, ends: [f64; 2]) -> String {
        self.both(
            &format!("{} L/s", range(ends, Flow::as_l_per_s)),
            &format!("{} gpm", range(ends, Flow::as_gal_per_min)),
        )
    }

    /// A length alone in the first system: for tables.
    pub(crate) fn one_length(self, m: f64) -> String {
        match self {
            Self::Us => format!("{:.1} ft", Length::from_m(m).as_ft()),
            Self::Si => format!("{m:.1} m"),
        }
    }

    /// A height alone, the same.
    pub(crate) fn one_height(self, m: f64) -> String {
        match self {
            Self::Us => format!("{:.2} ft", Length::from_m(m).as_ft()),
            Self::Si => format!("{m:.2} m"),
        }
    }

    /// Length of one unit of lengths and levels, m.
    pub(crate) fn length_unit_m(self) -> f64 {
        match self {
            Self::Us => Length::from_ft(1.0).as_m(),
            Self::Si => 1.0,
        }
    }

    /// Its name.
    pub(crate) const fn length_unit(self) -> &'static str {
        match self {
            Self::Us => "ft",
            Self::Si => "m",
        }
    }

    /// Number of a depth in [`Self::depth_unit`].
    pub(crate) fn depth_number(self, m: f64) -> String {
        match self {
            Self::Us => format!("{:.0}", Length::from_m(m).as_in()),
            Self::Si => format!("{:.0}", Length::from_m(m).as_cm()),
        }
    }

    /// Unit of depths on drawings.
    pub(crate) const fn depth_unit(self) -> &'static str {
        match self {
            Self::Us => "in",
            Self::Si => "cm",
        }
    }

    /// Number of a flow in [`Self::flow_unit`].
    pub(crate) fn one_flow(self, m3_s: f64) -> String {
        let flow = Flow::from_m3_per_s(m3_s);
        match self {
            Self::Us => digits3(flow.as_gal_per_min()),
            Self::Si => digits3(flow.as_l_per_s()),
        }
    }

    /// Unit of flows in tables.
    pub(crate) const fn flow_unit(self) -> &'static str {
        match self {
            Self::Us => "gpm",
            Self::Si => "L/s",
        }
    }
}

/// Whole number, grouped with commas.
fn grouped(value: f64) -> String {
    let digits = format!("{:.0}", value.abs());
    let mut text = String::new();
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place) % 3 == 0 {
            text.push(',');
        }
        text.push(digit);
    }
    if value < 0.0 && digits != "0" { format!("-{text}") } else { text }
}

/// From one flow to another, or one where they read the same.
fn range(ends_m3_s: [f64; 2], of: fn(Flow) -> f64) -> String {
    let [least, most] = ends_m3_s.map(|m3_s| digits3(of(Flow::from_m3_per_s(m3_s))));
    if least == most { least } else { format!("{least} to {most}") }
}

/// Three significant digits.
fn digits3(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    #[expect(clippy::cast_possible_truncation, reason = "a small exponent")]
    let decimals = (2 - value.abs().log10().floor() as i32).clamp(0, 9).unsigned_abs() as usize;
    if decimals == 0 { grouped(value) } else { format!("{value:.decimals$}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Hand arithmetic: 1,600 m² / 0.09290304 = 17,222 sq ft; 125 gal/min = 7.886 L/s = 0.2785 cu ft/s.
    #[test]
    fn both_systems_stand_side_by_side() {
        assert_eq!(Units::Si.area(1600.0), "1,600 m² (17,222 sq ft)");
        assert_eq!(Units::Us.length(3.048), "10.0 ft (3.0 m)");
        let flow = Flow::from_gal_per_min(125.0).as_m3_per_s();
        assert_eq!(Units::Us.flow(flow), "125 gpm, 0.279 cfs (7.89 L/s)");
    }

    // Hand arithmetic with the exact foot and inch: 38 m = 124.67 ft; 22.5 m³ = 794.6 cu ft; 0.47 m/s = 1.542 ft/s.
    #[test]
    fn every_measure_of_the_table_starts_with_the_system_asked_for() {
        assert_eq!(Units::Us.span(0.0, 38.0), "0.0 to 124.7 ft (0.0 to 38.0 m)");
        assert_eq!(Units::Si.span(0.0, 38.0), "0.0 to 38.0 m (0.0 to 124.7 ft)");
        assert_eq!(Units::Us.levels(3.048, "and", 1.524), "10.00 and 5.00 ft (3.05 and 1.52 m)");
        assert_eq!(Units::Us.depth(0.0254), "1.0 in (3 cm)");
        assert_eq!(Units::Si.depth(0.17), "17 cm (6.7 in)");
        assert_eq!(Units::Us.velocity(0.47), "1.54 ft/s (0.47 m/s)");
        assert_eq!(Units::Us.volume(22.5), "795 cu ft (22.5 m³)");
        assert_eq!(Units::Us.intensity(101.6), "4.00 in/h (101.6 mm/h)");
    }
}
