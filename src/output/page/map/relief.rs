//! The ground as a picture: shaded, light enough to draw on.

use super::super::super::error::OutputError;
use super::view::View;
use crate::grid::{Georef, Grid};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use geo::Coord;

/// Most pixels along a side: sharp on paper at 7 inches, and small enough to mail.
const MOST_PIXELS: f64 = 720.0;
/// The sun stands in the north-west, halfway up, as on printed maps. (Common practice, no source.)
const SUN: [f64; 3] = [-0.5, 0.5, std::f64::consts::FRAC_1_SQRT_2];
/// Slopes are drawn so many times as steep, so that lawns show. Ours.
const EXAGGERATION: f64 = 3.0;
/// Grey of ground in full shade, and what full light adds.
const GREYS: [f64; 2] = [150.0, 105.0];
/// Grey of ground without elevation: paper.
const NOTHING: u8 = 255;

/// A picture of the view's ground, as the text of a data URL.
pub(in crate::output) struct Relief {
    /// The picture.
    pub(in crate::output) url: String,
}

impl Relief {
    /// Shades the ground of a view.
    ///
    /// # Errors
    /// [`OutputError::Picture`].
    pub(in crate::output) fn of(
        ground: &Grid<f32>,
        georef: Georef,
        view: &View,
    ) -> Result<Self, OutputError> {
        let finest = georef.step_x.min(georef.step_y);
        let pixel = (view.ground.width().max(view.ground.height()) / MOST_PIXELS).max(finest);
        let (columns, rows) = (count(view.ground.width() / pixel), count(view.ground.height() / pixel));
        let surface = Surface { ground, georef, reach: pixel.max(finest) };
        let (west, north) = (view.ground.min().x, view.ground.max().y);
        let [step_x, step_y] =
            [view.ground.width() / f64::from(columns), view.ground.height() / f64::from(rows)];
        let greys: Vec<u8> = (0..rows)
            .flat_map(|row| (0..columns).map(move |column| (row, column)))
            .map(|(row, column)| {
                let x = west + (f64::from(column) + 0.5) * step_x;
                let y = north - (f64::from(row) + 0.5) * step_y;
                surface.grey(Coord { x, y })
            })
            .collect();
        Ok(Self { url: data_url(&png(&greys, columns, rows)?) })
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few hundred at the most")]
fn count(pixels: f64) -> u32 {
    pixels.round().max(1.0) as u32
}

/// Ground whose slope is taken over a reach.
struct Surface<'a> {
    ground: &'a Grid<f32>,
    georef: Georef,
    reach: f64,
}

impl Surface<'_> {
    /// Grey of a place: Lambert's cosine law with the central differences over the reach.
    fn grey(&self, at: Coord) -> u8 {
        let height = |dx: f64, dy: f64| self.height(Coord { x: at.x + dx, y: at.y + dy });
        let reach = self.reach;
        let (Some(east), Some(west), Some(north), Some(south)) =
            (height(reach, 0.0), height(-reach, 0.0), height(0.0, reach), height(0.0, -reach))
        else {
            return NOTHING;
        };
        let slope = |low: f64, high: f64| EXAGGERATION * (high - low) / (2.0 * reach);
        let (x, y) = (slope(west, east), slope(south, north));
        let light = (-SUN[0] * x - SUN[1] * y + SUN[2]) / (x * x + y * y + 1.0).sqrt();
        let [shade, more] = GREYS;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 150 and 255")]
        let grey = more.mul_add(light.clamp(0.0, 1.0), shade).round() as u8;
        grey
    }

    /// Of the cell there; nothing beyond the ground or where there is none.
    fn height(&self, at: Coord) -> Option<f64> {
        let (column, row) = self.georef.to_grid(at.x, at.y);
        let shape = self.ground.shape();
        let inside = column >= 0.0 && row >= 0.0;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "neither is negative")]
        let (column, row) = (column as usize, row as usize);
        let cell = (inside && column < shape.cols && row < shape.rows).then(|| row * shape.cols + column)?;
        Some(f64::from(self.ground.values()[cell])).filter(|height| height.is_finite())
    }
}

fn png(greys: &[u8], columns: u32, rows: u32) -> Result<Vec<u8>, OutputError> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, columns, rows);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::High);
    let written = encoder.write_header().and_then(|mut writer| {
        writer.write_image_data(greys)?;
        writer.finish()
    });
    written.map_err(|cause| OutputError::Picture { cause })?;
    Ok(bytes)
}

fn data_url(png: &[u8]) -> String {
    format!("data:image/png;base64,{}", STANDARD.encode(png))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::GridShape;

    const GEOREF: Georef = Georef { west: 0.0, north: 10.0, step_x: 1.0, step_y: 1.0 };

    fn surface(ground: &Grid<f32>) -> Surface<'_> {
        Surface { ground, georef: GEOREF, reach: 1.0 }
    }

    fn ground(height: impl Fn(usize, usize) -> f32) -> Grid<f32> {
        let shape = GridShape { rows: 10, cols: 10 };
        Grid::new(shape, (0..100).map(|cell| height(cell / 10, cell % 10)).collect())
    }

    // Lambert's law by hand: level ground has the sine of the sun's height, 150 + 105 * 0.7071 = 224; a face turned to the
    // sun at 45 degrees (rising 1/3 a metre, three times as steep drawn, halfway to the east and the south) has all of it
    // when its normal is the sun's: slopes of sqrt(1/2) both ways.
    #[test]
    fn level_ground_is_half_light_and_a_face_towards_the_sun_is_white() {
        assert_eq!(surface(&ground(|_, _| 7.0)).grey(Coord { x: 5.5, y: 5.5 }), 224);
        let slope = std::f32::consts::FRAC_1_SQRT_2 / 3.0;
        #[expect(clippy::cast_precision_loss, reason = "ten rows")]
        let face = ground(|row, column| slope * (row as f32 + column as f32));
        assert_eq!(surface(&face).grey(Coord { x: 5.5, y: 5.5 }), 255);
    }

    #[test]
    fn ground_that_is_not_known_is_paper() {
        let hole = ground(|row, _| if row == 5 { f32::NAN } else { 1.0 });
        assert_eq!(surface(&hole).grey(Coord { x: 5.5, y: 5.5 }), NOTHING);
        assert_eq!(surface(&hole).grey(Coord { x: -3.0, y: 5.5 }), NOTHING);
    }

    #[test]
    fn the_picture_can_be_read_again() {
        let greys: Vec<u8> = (0..=255).collect();
        let bytes = png(&greys, 16, 16).unwrap();
        let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
        let mut found = vec![0; reader.output_buffer_size().unwrap()];
        reader.next_frame(&mut found).unwrap();
        assert_eq!(found, greys);
    }
}
