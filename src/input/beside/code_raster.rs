//! A raster whose cells hold codes of covers.

use crate::crs::{CrsDefinition, Transform};
use crate::grid::GridShape;
use crate::input::Site;
use crate::input::error::{InputError, InputKind};
use crate::input::files::raster_path;
use crate::input::numbers::{count, real, signed};
use crate::input::place::raster_boxes;
use crate::input::raster::{MaskKind, affine_of, apply, crs_of, invert, mask_of, open};
use crate::warning::Warning;
use gdal::raster::{ColorInterpretation, RasterBand};
use std::path::{Path, PathBuf};

/// A raster of codes, read where it is asked.
///
/// # Invariants
/// Its first band holds whole numbers and it has a place on the map.
#[derive(Debug, Clone)]
pub struct CodeRaster {
    path: PathBuf,
    open: PathBuf,
    affine: [f64; 6],
    shape: GridShape,
    crs: CrsDefinition,
    nodata: Option<f64>,
    mask: MaskKind,
}

/// Rows and columns of a part, from the first up to the end.
struct Part {
    rows: [usize; 2],
    cols: [usize; 2],
}

impl CodeRaster {
    /// Opens a raster of codes.
    ///
    /// # Errors
    /// [`InputError`] where it can't be read, is a picture, counts in steps, or doesn't say where it lies.
    pub(super) fn open(path: &Path) -> Result<Self, InputError> {
        let place = raster_path(path)?;
        let data = open(path, &place)?;
        let unreadable = |reason: String, help: &str| InputError::Unreadable {
            path: path.to_owned(),
            reason,
            help: help.to_owned(),
        };
        let band = data.rasterband(1).map_err(|e| unreadable(e.to_string(), "check the file"))?;
        let is_picture = matches!(
            band.color_interpretation(),
            ColorInterpretation::RedBand | ColorInterpretation::GreenBand | ColorInterpretation::BlueBand
        );
        if is_picture {
            let reason = "it is a picture, its colours are no codes".to_owned();
            return Err(unreadable(reason, "give a raster whose cells hold codes of covers"));
        }
        let (scale, offset) = (band.scale().unwrap_or(1.0), band.offset().unwrap_or(0.0));
        if (scale, offset) != (1.0, 0.0) {
            let reason =
                format!("its cells are to be multiplied by {scale} and raised by {offset}: that is no code");
            return Err(unreadable(reason, "give a raster whose cells hold codes of covers as they are"));
        }
        let mask = mask_of(path, &band)?;
        let crs = crs_of(path, &data)?;
        let affine = affine_of(path, &data, crs.as_ref())?;
        let (cols, rows) = data.raster_size();
        let crs = crs.ok_or_else(|| InputError::NoCrs {
            path: path.to_owned(),
            kind: InputKind::Elevation,
            found: "it declares none".to_owned(),
        })?;
        Ok(Self {
            path: path.to_owned(),
            open: place,
            affine,
            shape: GridShape { rows, cols },
            crs,
            nodata: band.no_data_value(),
            mask,
        })
    }

    /// The file as typed.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// A warning where the raster lies beside the elevations.
    pub(super) fn lies_elsewhere(&self, site: &Site) -> Option<Warning> {
        let (cols, rows) = (real(self.shape.cols), real(self.shape.rows));
        let corners = [(0.0, 0.0), (cols, 0.0), (cols, rows), (0.0, rows)]
            .map(|(col, row)| apply(self.affine, col, row));
        let own = crate::input::place::Bounds::around(&corners)?;
        let meets = raster_boxes(site.survey.sources(), &self.crs).into_iter().any(|other| other.meets(own));
        (!meets).then(|| {
            Warning::new(
                "cover-elsewhere",
                format!("{}: the raster of covers lies beside the elevations", self.path.display()),
                "check its coordinate system; the result is as if the file were not given",
            )
        })
    }

    /// Codes at places of a system; nothing beside the raster and where it has no data.
    ///
    /// # Errors
    /// [`InputError`] where the file can't be read, or a cell holds no whole number.
    pub fn codes(
        &self,
        places: &[(f64, f64)],
        system: &CrsDefinition,
    ) -> Result<Vec<Option<i32>>, InputError> {
        let trouble = |e| InputError::crs(&self.path, InputKind::Elevation, e).of_side_file("cover");
        let way = Transform::new(system, &self.crs).map_err(trouble)?;
        let cells: Vec<Option<[usize; 2]>> =
            way.points(places).map_err(trouble)?.into_iter().map(|at| self.cell(at?)).collect();
        let Some(part) = Part::around(&cells) else { return Ok(vec![None; places.len()]) };
        let stored = self.read(&part)?;
        let width = part.cols[1] - part.cols[0];
        cells
            .into_iter()
            .map(|cell| {
                let Some([row, col]) = cell else { return Ok(None) };
                self.code(stored[(row - part.rows[0]) * width + col - part.cols[0]])
            })
            .collect()
    }

    /// Row and column of a place of the raster's own system.
    fn cell(&self, (x, y): (f64, f64)) -> Option<[usize; 2]> {
        let (col, row) = invert(self.affine, x, y);
        let inside = col >= 0.0 && row >= 0.0 && col < real(self.shape.cols) && row < real(self.shape.rows);
        inside.then(|| [count(row), count(col)])
    }

    /// What its cells hold; not a number where a mask covers them.
    fn read(&self, part: &Part) -> Result<Vec<f64>, InputError> {
        let damaged =
            |reason: String| InputError::Incomplete { path: self.path.clone(), at: String::new(), reason };
        let data = open(&self.path, &self.open)?;
        let band = data.rasterband(1).map_err(|e| damaged(e.to_string()))?;
        let size = (part.cols[1] - part.cols[0], part.rows[1] - part.rows[0]);
        let first = (signed(part.cols[0]), signed(part.rows[0]));
        let fetch = |band: &RasterBand<'_>| {
            band.read_as::<f64>(first, size, size, None).map_err(|e| damaged(e.to_string()))
        };
        let mut stored = fetch(&band)?.data().to_vec();
        if self.mask == MaskKind::Band {
            let mask = band.open_mask_band().map_err(|e| damaged(e.to_string()))?;
            for (code, mask) in stored.iter_mut().zip(fetch(&mask)?.data()) {
                if *mask <= 0.0 {
                    *code = f64::NAN;
                }
            }
        }
        Ok(stored)
    }

    #[expect(clippy::cast_possible_truncation, reason = "it is a whole number in the range of an i32")]
    fn code(&self, stored: f64) -> Result<Option<i32>, InputError> {
        if stored.is_nan() || self.nodata.is_some_and(|nodata| nodata.to_bits() == stored.to_bits()) {
            return Ok(None);
        }
        if stored.fract() != 0.0 || stored.abs() > f64::from(i32::MAX) {
            return Err(InputError::Unreadable {
                path: self.path.clone(),
                reason: format!("a cell holds {stored}, which is no code of a cover"),
                help: "give a raster whose cells hold whole numbers".to_owned(),
            });
        }
        Ok(Some(stored as i32))
    }
}

impl Part {
    /// The least part that has all cells.
    fn around(cells: &[Option<[usize; 2]>]) -> Option<Self> {
        let mut found = cells.iter().flatten();
        let &[row, col] = found.next()?;
        let start = Self { rows: [row, row + 1], cols: [col, col + 1] };
        Some(found.fold(start, |part, &[row, col]| Self {
            rows: [part.rows[0].min(row), part.rows[1].max(row + 1)],
            cols: [part.cols[0].min(col), part.cols[1].max(col + 1)],
        }))
    }
}
