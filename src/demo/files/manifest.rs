//! The list of what a demo wrote, by which a later one knows its own files.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::ErrorKind;
use std::path::Path;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::{DemoError, not_written};

/// Name of the list.
const NAME: &str = "demo-files.json";

/// Names of files, each with the digests under which it counts as ours.
#[derive(Debug, Default, Serialize, Deserialize)]
pub(super) struct Manifest {
    files: BTreeMap<String, BTreeSet<String>>,
}

impl Manifest {
    /// Whether there is a list in `dir`.
    pub(super) fn is_in(dir: &Path) -> bool {
        dir.join(NAME).is_file()
    }

    /// The list in `dir`; an empty one if there is none.
    pub(super) fn read(dir: &Path) -> Result<Self, DemoError> {
        let path = dir.join(NAME);
        match fs::read(&path) {
            // A list that can't be understood may not be ours: nothing is replaced on its word, itself included.
            Ok(bytes) => {
                serde_json::from_slice(&bytes).map_err(|source| DemoError::ListUnclear { path, source })
            }
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(Self::default()),
            Err(source) => Err(not_written(&path, source)),
        }
    }

    /// Refuses a file that is there but isn't as listed.
    pub(super) fn check(&self, path: &Path) -> Result<(), DemoError> {
        let digest = match digest(path) {
            Ok(digest) => digest,
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(()),
            Err(source) => return Err(not_written(path, source)),
        };
        match self.files.get(&name(path)) {
            Some(ours) if ours.contains(&digest) => Ok(()),
            _ => Err(DemoError::NotOurs { path: path.to_path_buf() }),
        }
    }

    /// Lists the file made at `made` under the name that it will have.
    pub(super) fn add(&mut self, made: &Path, path: &Path) -> Result<(), DemoError> {
        let digest = digest(made).map_err(|source| not_written(made, source))?;
        self.files.entry(name(path)).or_default().insert(digest);
        Ok(())
    }

    /// Goes on counting as ours what an earlier list did, until the new files have taken their places.
    pub(super) fn keep(&mut self, earlier: Self) {
        for (name, digests) in earlier.files {
            self.files.entry(name).or_default().extend(digests);
        }
    }

    /// Writes the list, in one piece.
    pub(super) fn write(&self, workshop: &Path, dir: &Path) -> Result<(), DemoError> {
        let (made, path) = (workshop.join(NAME), dir.join(NAME));
        let text = serde_json::to_string_pretty(self)
            .map_err(|error| not_written(&path, std::io::Error::other(error)))?;
        fs::write(&made, text + "\n").map_err(|source| not_written(&made, source))?;
        fs::rename(&made, &path).map_err(|source| not_written(&path, source))
    }
}

fn name(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

fn digest(path: &Path) -> std::io::Result<String> {
    let hash = Sha256::digest(fs::read(path)?);
    Ok(hash.iter().fold(String::new(), |text, byte| text + &format!("{byte:02x}")))
}
