//! Peak of the storm by the graphical method.

use super::runoff::Shed;
use super::{Figure, Sheet, Value, Worked};
use crate::runoff::methods::GRAPHICAL;
use crate::runoff::{Catchment, GraphicalBasis, GraphicalPeak, graphical_peak};
use crate::units::{Length, Time};

/// The peak, where the method holds.
pub(super) fn peak(sheet: &mut Sheet, basis: GraphicalBasis, rain: Length, shed: Shed, time: Time) {
    let catchment = Catchment { area: shed.area, volume: Some(shed.volume), time };
    let found = graphical_peak(basis, Some(rain), catchment, "");
    sheet.warn(found.warnings);
    if let Some(peak) = found.value {
        sheet.figures.push(figure(basis, shed, &peak));
    }
}

fn figure(basis: GraphicalBasis, shed: Shed, peak: &GraphicalPeak) -> Figure {
    let least = if peak.least_counts { ", the method's least" } else { "" };
    let worked = format!(
        "q = qu A Q F = {:.1} csm/in x {:.6} sq mi x {:.3} in x {:.2} = {:.4} cfs; qu of rainfall type {} at Ia/P {:.3} and Tc {:.3} h{least}",
        peak.unit_peak_csm_in,
        shed.area.as_acres() / 640.0,
        peak.runoff.as_in(),
        peak.pond_factor,
        peak.flow.as_ft3_per_s(),
        basis.rainfall_type.name(),
        peak.abstraction_share,
        peak.time.as_h()
    );
    Figure::worked(
        "peak by the graphical method",
        Value::Flow(peak.flow),
        Worked::same(worked),
        GRAPHICAL.source,
    )
}
