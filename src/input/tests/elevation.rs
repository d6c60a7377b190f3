use super::scene::{GROUND, NORTH, Raster, Scene, WEST, codes, plane};
use crate::grid::{Cell, Grid, GridShape};
use crate::input::numbers::real;
use crate::input::{GridUse, Site, UnitSource, VerticalUnit, Window};

fn whole(site: &Site) -> Grid<f32> {
    site.survey.read(Window::whole(site.survey.shape())).unwrap()
}

#[test]
fn the_plain_scene_has_true_lengths_and_one_warning() {
    let scene = Scene::plain();
    let site = scene.open().unwrap();
    assert_eq!(codes(&site), ["vertical-unit-assumed"]);
    let site = site.value;
    assert_eq!(site.crs.label(), "EPSG:26917");
    assert!((site.survey.cell_size().dx_m - GROUND).abs() < 1e-6, "{:?}", site.survey.cell_size());
    assert!((site.crs.metres_per_unit() - GROUND).abs() < 1e-6);
    assert_eq!(site.survey.facts().grid, GridUse::Native);
    let subject = site.parcels.subject_lot();
    assert!((subject.area_m2 - 1200.0 * GROUND * GROUND).abs() < 1e-3, "{}", subject.area_m2);
    let heights = whole(&site);
    for row in [0, 37, 79] {
        assert!((f64::from(*heights.at(Cell { row, col: 5 })) - plane(row)).abs() < 1e-5);
    }
}

#[test]
fn a_raster_whose_rows_run_north_reads_the_same() {
    let flipped = Raster {
        affine: [WEST, 1.0, 0.0, NORTH - 80.0, 0.0, 1.0],
        height: Box::new(|row, _| plane(79 - row)),
        ..Raster::default()
    };
    let scenes = [Scene::plain(), Scene::with(&flipped)];
    let [plain, flipped] = [0, 1].map(|i| scenes[i].open().unwrap().value);
    assert_eq!(whole(&plain), whole(&flipped));
    assert_eq!(plain.survey.georef(), flipped.survey.georef());
}

#[test]
fn cells_that_are_not_square_keep_their_sides() {
    let site =
        Scene::with(&Raster { affine: [WEST, 1.0, 0.0, NORTH, 0.0, -2.0], rows: 40, ..Raster::default() })
            .open()
            .unwrap()
            .value;
    let cell = site.survey.cell_size();
    assert!((cell.dx_m - GROUND).abs() < 1e-6 && (cell.dy_m - 2.0 * GROUND).abs() < 1e-6, "{cell:?}");
}

/// A raster in degrees, 1e-5 degrees to a cell, on a plane in longitude and latitude, with a hole.
fn degrees() -> Raster {
    Raster {
        crs: Some("EPSG:4269".to_owned()),
        affine: [-81.001, 1e-5, 0.0, 43.6235, 0.0, -1e-5],
        rows: 160,
        cols: 240,
        height: Box::new(|row, col| {
            let hole = (20..30).contains(&row) && (10..20).contains(&col);
            if hole { -9999.0 } else { 100.0 + 0.02 * real(col) - 0.05 * real(row) }
        }),
        ..Raster::default()
    }
}

// Closed form: bilinear interpolation is exact on a plane of the source grid. Places: PROJ.
#[test]
fn degrees_are_warped_to_metres_and_a_plane_stays_a_plane() {
    let scene = Scene::with(&degrees());
    let site = scene.open().unwrap();
    assert!(codes(&site).contains(&"elevation-warped"));
    let site = site.value;
    let cell = site.survey.cell_size();
    // A hundred-thousandth of a degree of longitude at 43.62 N is 0.807 m (WGS 84, geodesic; pyproj 3.7.2).
    assert!((cell.dx_m - 0.81).abs() < 1e-12 && (cell.dy_m - 0.81).abs() < 1e-12, "{cell:?}");
    let heights = whole(&site);
    let (georef, shape) = (site.survey.georef(), heights.shape());
    // The raster's own datum: NAD83 to WGS 84 keeps the numbers, so that longitude and latitude can be compared.
    let (mut seen, mut worst) = (0, 0.0_f64);
    for index in 0..shape.len() {
        let height = f64::from(heights.values()[index]);
        if height.is_nan() {
            continue;
        }
        let (x, y) = georef.centre(shape.cell(index));
        let (lon, lat) = site.crs.to_lonlat(x, y).unwrap();
        let (col, row) = ((lon + 81.001) / 1e-5 - 0.5, (43.6235 - lat) / 1e-5 - 0.5);
        worst = worst.max((height - (100.0 + 0.02 * col - 0.05 * row)).abs());
        seen += 1;
    }
    assert!(seen > 30_000, "{seen}");
    assert!(worst < 1e-4, "{worst}");
}

#[test]
fn windows_of_a_warped_raster_equal_the_same_part_of_the_whole() {
    let scene = Scene::with(&degrees());
    let site = scene.open().unwrap().value;
    let heights = whole(&site);
    for window in [
        Window { row: 0, col: 0, shape: GridShape { rows: 7, cols: 9 } },
        Window { row: 31, col: 33, shape: GridShape { rows: 66, cols: 40 } },
    ] {
        let part = site.survey.read(window).unwrap();
        for index in 0..part.shape().len() {
            let here = part.shape().cell(index);
            let there = Cell { row: here.row + window.row, col: here.col + window.col };
            assert_eq!(part.values()[index].to_bits(), heights.at(there).to_bits(), "{here:?}");
        }
    }
    assert!(site.survey.read(Window { row: 0, col: 0, shape: GridShape { rows: 9999, cols: 1 } }).is_err());
}

#[test]
fn web_mercator_is_not_taken_at_its_word() {
    let x = -81.001_f64.to_radians() * 6_378_137.0;
    let y = 6_378_137.0 * (std::f64::consts::FRAC_PI_4 + 43.6235_f64.to_radians() / 2.0).tan().ln();
    let site = Scene::with(&Raster {
        crs: Some("EPSG:3857".to_owned()),
        affine: [x, 2.0, 0.0, y, 0.0, -2.0],
        rows: 160,
        cols: 160,
        ..Raster::default()
    })
    .open()
    .unwrap();
    assert!(codes(&site).contains(&"elevation-warped"));
    let subject = &site.value.parcels.parcels()[site.value.parcels.subject()];
    assert!((subject.area_m2 - 1200.0 * GROUND * GROUND).abs() < 0.01, "{}", subject.area_m2);
}

#[test]
fn an_undeclared_gap_is_a_hole_and_said() {
    let gap = |row: usize, col: usize| (44..47).contains(&row) && (30..34).contains(&col);
    let scene = Scene::with(&Raster {
        nodata: None,
        height: Box::new(move |row, col| if gap(row, col) { -9999.0 } else { plane(row) }),
        ..Raster::default()
    });
    let site = scene.open().unwrap();
    let warning = site.warnings.iter().find(|w| w.code == "nodata-suspected").unwrap();
    assert!(
        warning.message.contains("12 cells") && warning.message.contains("row 44, column 30"),
        "{}",
        warning.message
    );
    let heights = whole(&site.value);
    assert_eq!(heights.values().iter().filter(|v| v.is_nan()).count(), 12);
}

#[test]
fn a_side_file_is_read_and_none_is_written() {
    let scene = Scene::with(&Raster {
        nodata: None,
        height: Box::new(|row, _| if row == 3 { 7.0 } else { plane(row) }),
        ..Raster::default()
    });
    let notes =
        "<PAMDataset><PAMRasterBand band=\"1\"><NoDataValue>7</NoDataValue></PAMRasterBand></PAMDataset>";
    std::fs::write(scene.folder.path().join("ground.tif.aux.xml"), notes).unwrap();
    let list = || {
        let mut all: Vec<_> = std::fs::read_dir(scene.folder.path())
            .unwrap()
            .map(|e| e.unwrap())
            .map(|e| (e.file_name(), std::fs::read(e.path()).unwrap()))
            .collect();
        all.sort();
        all
    };
    let before = list();
    let site = scene.open().unwrap();
    assert_eq!(whole(&site.value).values().iter().filter(|v| v.is_nan()).count(), 80);
    assert_eq!(list(), before);
}

#[test]
fn the_first_of_two_tiles_counts_where_they_overlap() {
    let mut scene = Scene::with(&Raster { name: "top.tif", rows: 45, ..Raster::default() });
    let low = scene.raster(&Raster {
        name: "low.tif",
        affine: [WEST, 1.0, 0.0, NORTH - 40.0, 0.0, -1.0],
        rows: 40,
        height: Box::new(|row, _| plane(row + 40) + 5.0),
        ..Raster::default()
    });
    scene.elevation.paths.push(low);
    let heights = |scene: &Scene| {
        let site = scene.open().unwrap().value;
        assert_eq!(site.survey.shape(), GridShape { rows: 80, cols: 80 });
        let grid = whole(&site);
        [39, 42, 50].map(|row| f64::from(*grid.at(Cell { row, col: 3 })) - plane(row))
    };
    let first = heights(&scene);
    assert!(first.iter().zip([0.0, 0.0, 5.0]).all(|(a, b)| (a - b).abs() < 1e-4), "{first:?}");
    scene.elevation.paths.reverse();
    let second = heights(&scene);
    assert!(second.iter().zip([0.0, 5.0, 5.0]).all(|(a, b)| (a - b).abs() < 1e-4), "{second:?}");
}

#[test]
fn the_unit_that_is_told_is_used_and_recorded() {
    let mut scene = Scene::plain();
    scene.elevation.unit = Some(VerticalUnit::Foot);
    let site = scene.open().unwrap();
    assert!(site.warnings.is_empty());
    let facts = site.value.survey.facts();
    assert_eq!((facts.vertical_unit, facts.vertical_unit_from), ("foot", UnitSource::Option));
    let height = f64::from(*whole(&site.value).at(Cell { row: 0, col: 0 }));
    assert!((height - 30.48).abs() < 1e-5);
}

#[test]
fn signs_of_centimetres_are_pointed_out() {
    let scene = Scene::with(&Raster {
        height: Box::new(|row, col| (29_000.0 + 13.0 * real(row) + 7.0 * real(col)).round()),
        ..Raster::default()
    });
    assert!(codes(&scene.open().unwrap()).contains(&"vertical-unit-doubtful"));
}

#[test]
fn a_lot_that_is_half_covered_is_said_to_be() {
    let site = Scene::with(&Raster { rows: 55, ..Raster::default() }).open().unwrap();
    let warning = site.warnings.iter().find(|w| w.code == "lot-partly-covered").unwrap();
    // Rows 40 to 69 lie on the lot; 55 to 69 are cut off.
    assert!(warning.message.contains("50.0 %"), "{}", warning.message);
}

#[test]
fn threads_read_the_same() {
    let scene = Scene::with(&degrees());
    let site = scene.open().unwrap().value;
    let here = whole(&site);
    std::thread::scope(|scope| {
        let others: Vec<_> = (0..4).map(|_| scope.spawn(|| whole(&site))).collect();
        for other in others {
            let other = other.join().unwrap();
            assert!(other.values().iter().zip(here.values()).all(|(a, b)| a.to_bits() == b.to_bits()));
        }
    });
}
