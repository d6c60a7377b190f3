//! What a finding does to the answer when nobody sees to it.

/// Codes and effects, the worst first: findings of one severity are listed in this order.
const EFFECTS: [(&str, &str); 61] = [
    ("installation", "nothing can be placed on the earth"),
    ("file-not-found", "there is nothing to read"),
    ("file-unreadable", "there is nothing to read"),
    ("file-incomplete", "part of the ground or of the lots would be missing"),
    ("codec-missing", "no cell can be read"),
    ("not-elevation", "water would run down something that is no ground"),
    ("no-georeference", "ground and lots can't be laid on each other"),
    ("no-crs", "ground and lots can't be laid on each other"),
    ("crs-unusable", "ground and lots can't be laid on each other"),
    ("crs-unit-mismatch", "lengths 3.28 times, areas 10.8 times wrong, in a place far away"),
    ("axes-swapped", "lots in another part of the world"),
    ("not-degrees", "lots in another part of the world, their areas without meaning"),
    ("no-overlap", "no lot has any ground"),
    ("lot-without-elevations", "the lot has no ground"),
    ("vertical-units-disagree", "heights, depths and grades 3.28 times wrong if the wrong one is believed"),
    ("vertical-unit-unknown", "heights, depths and grades 3.28 times wrong if the guess is wrong"),
    ("vertical-datum", "all levels shifted against each other"),
    ("tiles-differ", "a step or a gap where the files meet, at which all water turns aside"),
    ("raster-too-coarse", "the lot lies between the cells: nothing can be said of it"),
    ("no-shapes", "there are no lots"),
    ("layer-unclear", "the lots of another layer"),
    ("lot-not-found", "there is no lot to look at"),
    ("lot-ambiguous", "the answer of another lot"),
    ("id-field-unclear", "lots that can't be told apart"),
    ("field-unknown", "a field that stays empty"),
    ("lot-invalid", "the lot's ground is not known"),
    ("shots-offset", "all levels shifted"),
    ("window-outside", "cells that don't exist"),
    (
        "vertical-unit-doubtful",
        "heights, depths and grades wrong by the ratio of the units, 100 times for centimetres",
    ),
    ("band-described-otherwise", "water would run down something that is no ground"),
    ("elevations-of-8-bits", "water would run down a picture, from light to dark"),
    ("tiles-disagree", "another answer by another order of the files; a step where the first file ends"),
    ("world-file-disagrees", "ground shifted against the lots by as much"),
    ("crs-keys-disagree", "ground shifted against the lots by as much as the readings differ"),
    ("feet-differ", "lots shifted against the ground by two parts in a million of their coordinates"),
    ("datum-shift-rough", "lots shifted against the ground by as much as the operation's accuracy"),
    ("corners-rounded", "lot lines shifted, areas of small lots wrong by some per cent"),
    ("area-field-differs", "areas wrong by the ratio, if the table is right and the outlines are not"),
    ("nodata-suspected", "without care a pit or a wall that takes or stops all water"),
    ("elevation-steps", "a pit or a wall that takes or stops all water"),
    (
        "vertical-unit-overridden",
        "heights, depths and grades wrong by the ratio of the units if the file was right",
    ),
    (
        "vertical-unit-assumed",
        "heights, depths and grades 3.28 times too large if they are feet; areas hardly change",
    ),
    ("vertical-unit-unread", "heights, depths and grades wrong by the ratio of the units"),
    ("tiles-datum-unsaid", "a step where the files meet if they are counted from other levels"),
    ("band-is-surface", "houses and trees dam the water and send it to others"),
    ("elevation-warped", "areas and slopes wrong if the cells were taken as they are"),
    ("outside-area-of-use", "lengths and areas distorted, the more the further outside"),
    ("elevations-rounded", "terraces: water runs along them instead of down the slope"),
    ("parcels-damaged", "neighbours may be missing"),
    ("lot-dropped", "these neighbours are not named; their water counts as from no lot"),
    ("parcels-overlap", "ground that two lots claim is given to the smaller one"),
    ("overlay-failed", "ground that two lots claim may be given to the wrong one"),
    ("lot-covered", "this lot has no ground of its own left and is not named"),
    ("lot-partly-covered", "water from the part without elevations is missing"),
    ("cells-large", "small lots get their share by chance"),
    ("ids-repeated", "lots of one id can't be told apart in the result"),
    ("bands-ignored", "another band may have been meant"),
    ("pages-ignored", "another raster of the file may have been meant"),
    ("features-skipped", "these features are no neighbours"),
    ("shapefile-part-missing", "text or places may be read wrongly"),
    ("raster-remark", "depends on the remark"),
];
/// What only concerns how things are called or taken.
const HARMLESS: [(&str, &str); 7] = [
    ("ids-missing", "these lots are named after their place in the file; areas are right"),
    ("text-encoding-assumed", "names may be misspelt; areas are right"),
    ("text-garbled", "names are misspelt; areas are right"),
    ("lot-repaired", "none: their areas did not change"),
    ("lots-stacked", "none: each outline counts once"),
    ("geojson-crs-member", "none, if the member says the truth"),
    ("datum-taken-as-same", "none, if both were made by the same convention; else a metre or two of shift"),
];

fn all() -> impl Iterator<Item = (&'static str, &'static str)> {
    EFFECTS.into_iter().chain(HARMLESS)
}

/// What the finding does to the answer; nothing for a code that isn't known here.
pub(super) fn effect(code: &str) -> &'static str {
    all().find(|(known, _)| *known == code).map_or("", |(_, effect)| effect)
}

/// Place among findings of the same severity.
pub(super) fn rank(code: &str) -> usize {
    all().position(|(known, _)| known == code).unwrap_or(usize::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::{Path, PathBuf};

    /// All sources of a folder of this stage that `inspect` can hear findings from.
    fn sources() -> Vec<PathBuf> {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/input");
        let mut found: Vec<PathBuf> =
            ["error.rs", "place.rs", "registry.rs", "lot_check.rs", "units.rs"].map(|f| root.join(f)).into();
        for folder in ["raster", "parcels"] {
            let files = std::fs::read_dir(root.join(folder)).unwrap();
            found.extend(files.map(|file| file.unwrap().path()));
        }
        found
    }

    #[test]
    fn every_code_that_can_be_found_has_an_effect() {
        let mut seen = 0;
        for file in sources() {
            let text = std::fs::read_to_string(&file).unwrap();
            for start in ["Warning::new(", "diagnostic(code(", "diagnostic(\n        code("] {
                for rest in text.split(start).skip(1) {
                    let Some(code) = rest.trim_start().strip_prefix('"').and_then(|r| r.split('"').next())
                    else {
                        continue;
                    };
                    seen += 1;
                    // Of files beside elevations and parcels, which inspect doesn't take.
                    assert!(
                        code == "side-file" || !effect(code).is_empty(),
                        "{code} of {} has no effect",
                        file.display()
                    );
                }
            }
        }
        assert!(seen > 50, "{seen} codes were found: the search is broken");
    }

    #[test]
    fn no_code_is_listed_twice() {
        let mut codes: Vec<&str> = all().map(|(code, _)| code).collect();
        codes.sort_unstable();
        assert!(codes.windows(2).all(|pair| pair[0] != pair[1]), "{codes:?}");
    }
}
