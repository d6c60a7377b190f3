//! Whole runs of the program on made input files whose answer is known on paper.
//!
//! Nearly every file varies one small scene (`common/scene.rs`). Each has one of two right outcomes: the numbers of
//! that scene, or a refusal that names the cause. A different number without a warning is the fault that these tests
//! are for. The expected areas are closed forms, derived beside each test; none is an earlier result of the program.
//!
//! Known traps, the tests that hold them, and the outcome (a number alone is the exit status):
//!
//! | trap | tests | outcome |
//! | --- | --- | --- |
//! | 1 latitude first | `latitude_first_is_refused_and_the_remedy_named`, `every_position_of_the_result_is_longitude_then_latitude` | 4, or base numbers with `--swap-axes` |
//! | 2 two kinds of foot | `parcels_in_survey_feet_on_a_raster_in_international_feet_are_placed_right_and_noted` | base numbers, warning |
//! | 3 code in metres, numbers in feet | `parcels_labelled_in_metres_..`, `a_raster_labelled_in_metres_with_numbers_in_feet_..` | 4 with the unit that fits |
//! | 4 raster in degrees | `a_raster_in_degrees_is_brought_to_metres_and_says_so` | areas of the ground, warning |
//! | 5 no system, a site's own grid | `a_raster_without_coordinate_system_..`, `parcels_without_coordinate_system_..`, `a_site_grid_of_its_own_is_refused_by_name` | 4 with the option |
//! | 6 code and parameters disagree | `a_code_and_parameters_that_disagree_are_both_named`, `the_reading_that_is_named_is_the_one_that_is_used` | the file's numbers, warning with both readings |
//! | 7 GeoJSON with a `crs` member | `an_old_crs_member_is_honoured_in_every_spelling`, `an_old_crs_member_is_noted_and_never_written` | base numbers, warning |
//! | 8 GeoJSON in projected numbers | `projected_numbers_in_geojson_without_a_word_are_refused` | 4 with the system that fits |
//! | 9 rough datum shift | `a_datum_shift_of_poor_accuracy_is_a_warning_with_its_metres` | warning, 8 under `--strict` |
//! | 10 broken coordinate database | `a_broken_coordinate_database_of_another_program_does_no_harm` | 9 with path and variable |
//! | 11 antimeridian | `antimeridian.rs` | base areas, geometries cut at 180 degrees |
//! | 12 south-up raster | `rows_stored_from_south_to_north_give_the_base_numbers` | base numbers |
//! | 13 rotated raster | `a_rotated_raster_is_brought_to_north_up_and_says_so` | areas of the ground, warning |
//! | 14 cells that are not square | `cells_twice_as_high_as_wide_..`, `cells_twice_as_wide_as_high_give_the_base_numbers` | base numbers |
//! | 15 raster beside or over half of the lot | `a_raster_elsewhere_is_refused_with_the_distance`, `half_a_lot_without_elevations_is_a_warning_with_the_percentage` | 5 with both extents, or warning |
//! | 16 catchment cut by the raster | `a_catchment_cut_by_the_raster_is_at_least_what_is_seen` | "at least", 8 under `--strict` |
//! | 17 NaN and infinity | `not_a_number_is_a_hole_whether_declared_or_not` | base numbers, holes listed |
//! | 18 undeclared nodata | `undeclared_nodata_values_are_holes_and_said` | base numbers, warning |
//! | 19 nodata leaks when warped | `a_hole_reaches_no_further_than_the_next_cell_and_never_leaks` in `src/input/raster/warp.rs` | - |
//! | 20 truncated file | `a_raster_cut_short_is_incomplete_by_name` | 3 |
//! | 21 blocks never written | `a_raster_of_thirteen_gigabytes_is_read_through_a_window` (nearly all of it was never written) | base numbers; without a declared nodata value such blocks read as 0, which no test here covers |
//! | 22 compression and predictors | `every_compression_gives_the_base_numbers` | base numbers |
//! | 23 side file of a raster | `a_side_file_is_read_and_none_is_written` in `src/input/tests/elevation.rs`; every run here checks that nothing is written beside the result | - |
//! | 24 raster beyond memory | `a_raster_of_thirteen_gigabytes_is_read_through_a_window` | base numbers below 1 GiB |
//! | 25 block cache in a container | the same: the peak of memory is measured | below 1 GiB |
//! | 26 threads | `any_number_of_threads_gives_the_same_bytes` | same bytes |
//! | 27 remote raster | `an_address_on_the_network_is_refused` | 3 |
//! | 28 strips between tiles | `a_strip_of_one_cell_between_two_tiles_is_bridged_and_listed` | base numbers |
//! | 29 road bank as a dam | `the_filled_surface_of_a_pit_is_level_at_its_lowest_way_out` (ponds are listed); culverts are not part of this step | pond listed |
//! | 30 building as a pit | the same; footprints are not part of this step | pond listed |
//! | 31 flats | `any_number_of_threads_gives_the_same_bytes`, and the tests of flats in `src/flow` | same bytes |
//! | 32 whole-number elevations | `elevations_in_whole_metres_are_terraces_and_said_so` | warning |
//! | 33 gaps, overlaps, slivers | `a_gap_of_five_centimetres_..`, `an_overlap_of_five_centimetres_is_shared_out_once_and_reported` | base total, warning |
//! | 34 invalid polygons | `a_bow_tie_..`, `a_spike_without_area_is_cut_off_and_named` | left out or mended by name, 3 if it is the subject |
//! | 35 overlay that fails | `nearly_collinear_edges_in_large_numbers_are_overlaid` in `src/input/parcels/geometry.rs` | - |
//! | 36 keys | `parcel_files.rs`, `two_lots_of_the_same_key_are_status_6` | text, 6 with the candidates |
//! | 37 empty, null, mixed | `unusable_features_are_skipped_and_counted`, `a_layer_without_features_..`, `a_layer_of_points_only_..`, `a_lot_on_a_crest_receives_nothing_and_that_is_a_result` | counted; 3 |
//! | 38 text that is not UTF-8 | `a_shapefile_without_index_is_read_and_latin_1_is_decoded` in `src/input/tests/parcels.rs` | - |
//! | 39 part of a shapefile missing | `a_shapefile_without_its_parts_is_read_or_names_them` | base numbers or 3 with the part |
//! | 40 archive | `an_archive_is_looked_into`, `an_archive_of_several_layers_asks_which` | base numbers, or 3 with the layers |
//! | 41 read-only GeoPackage | `a_geopackage_of_two_layers_asks_which_and_is_never_changed` in `src/input/tests/parcels.rs` | - |
//! | 42 overwriting | `files_of_others_in_the_result_folder_are_kept`, `an_earlier_result_..`; a GeoPackage is not written in this step | 7, or only our own files |
//! | 43 ring direction | `clockwise_rings_are_read_and_counter_clockwise_ones_written` | base numbers |
//! | 44 rounding of the output | `an_edge_of_a_millimetre_does_not_break_the_written_outlines`, `every_written_geojson_file_follows_its_standard` | valid files |
//! | 45 NaN in JSON | `a_subject_without_area_is_refused_by_name`, `every_written_geojson_file_follows_its_standard` | 3 |
//! | 46 large coordinates | `feet.rs` (7.6 million feet from the origin) | base areas |
//! | 47 strips and lines inside cells | `a_strip_narrower_than_a_cell_..`, `turned.rs` | areas exact, or the derived half column |
//! | 48 parts and holes | `all_parts_of_a_lot_receive`, `a_hole_of_a_lot_is_ground_outside_it` | exact areas |
//! | 49 two runs | `two_runs_give_the_same_bytes_wherever_they_go_to`, `no_file_tells_the_time_of_day_or_where_it_was_written` | same bytes |

#[cfg(test)]
#[path = "../common/mod.rs"]
mod common;

#[cfg(test)]
mod antimeridian;
#[cfg(test)]
mod areas;
mod askew;
#[cfg(test)]
mod base;
mod certainty;
#[cfg(test)]
mod closed_cases;
#[cfg(test)]
mod contract;
#[cfg(test)]
mod cover;
#[cfg(test)]
mod cover_raster;
#[cfg(test)]
mod crossing_certainty;
mod crossing_pipes;
#[cfg(test)]
mod doubts;
#[cfg(test)]
mod downspouts;
#[cfg(test)]
mod drain;
mod drain_cover;
#[cfg(test)]
mod drain_storms;
#[cfg(test)]
mod drowned;
#[cfg(test)]
mod feet;
#[cfg(test)]
mod files;
#[cfg(test)]
mod gentle_slopes;
#[cfg(test)]
mod given_up;
mod grids;
mod handover;
#[cfg(test)]
mod humped_swale;
#[cfg(test)]
mod inlet_access;
mod inlets;
mod invariants;
#[cfg(test)]
mod keeps_more;
#[cfg(test)]
mod large;
#[cfg(test)]
mod line;
#[cfg(test)]
mod outlets;
#[cfg(test)]
mod outlines;
#[cfg(test)]
mod parcel_files;
#[cfg(test)]
mod part_catches;
mod part_water;
#[cfg(test)]
mod proof;
#[cfg(test)]
mod random_lots;
mod reference_systems;
#[cfg(test)]
mod refusals;
#[cfg(test)]
mod repeats_window;
#[cfg(test)]
mod roofs;
mod sags;
#[cfg(test)]
mod shared_ground;
#[cfg(test)]
mod shell;
mod shots;
#[cfg(test)]
mod sills;
#[cfg(test)]
mod stored;
#[cfg(test)]
mod storm;
#[cfg(test)]
mod survey_age;
mod taken_shares;
mod town;
#[cfg(test)]
mod turned;
#[cfg(test)]
mod units;
#[cfg(test)]
mod us_first;
#[cfg(test)]
mod wanted_share;
/// Why a parcel is in or out.
mod why;
