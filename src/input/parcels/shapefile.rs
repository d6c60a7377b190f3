//! What a shapefile needs beside its `.shp`: its other parts, and the encoding of its text.

use super::open::Copy;
use crate::input::error::InputError;
use crate::input::files::sibling;
use crate::warning::Warning;
use std::fs::File;
use std::io::{BufReader, Read};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

/// Length of the fixed part of a dBASE header.
const HEADER: usize = 32;
/// Place in it of the byte that names a code page.
const CODE_PAGE: usize = 29;

/// What to open, and how.
pub(crate) fn prepare(
    path: &Path,
    warnings: &mut Vec<Warning>,
) -> Result<(PathBuf, Vec<String>, Option<Copy>), InputError> {
    let Some(table) = sibling(path, "dbf") else {
        return Err(InputError::Unreadable {
            path: path.to_owned(),
            reason: format!(
                "its table {} is missing, and with it the ids of the lots",
                path.with_extension("dbf").display()
            ),
            help: "a shapefile is at least three files: .shp, .shx, .dbf; copy them all".to_owned(),
        });
    };
    let options = encoding(path, &table, warnings)?;
    if sibling(path, "shx").is_some() {
        return Ok((path.to_owned(), options, None));
    }
    warnings.push(Warning::new(
        "shapefile-part-missing",
        format!("{} is missing; its index was rebuilt in memory", path.with_extension("shx").display()),
        "copy the .shx file along with the .shp file",
    ));
    let (open, copy) = in_memory(path)?;
    Ok((open, options, Some(copy)))
}

/// Copies the parts to memory and opens them once with the permission to write the index there.
fn in_memory(path: &Path) -> Result<(PathBuf, Copy), InputError> {
    static NEXT: AtomicUsize = AtomicUsize::new(0);
    let failed = |reason: String| InputError::Incomplete { path: path.to_owned(), at: String::new(), reason };
    let folder = format!("/vsimem/shapefile-{}", NEXT.fetch_add(1, Ordering::Relaxed));
    let mut files = Vec::new();
    for ending in ["shp", "dbf", "prj", "cpg"] {
        let Some(part) = sibling(path, ending) else { continue };
        let bytes = std::fs::read(&part).map_err(|e| failed(e.to_string()))?;
        let file = PathBuf::from(format!("{folder}/parcels.{ending}"));
        gdal::vsi::create_mem_file(&file, bytes).map_err(|e| failed(e.to_string()))?;
        files.push(file);
    }
    let open = PathBuf::from(format!("{folder}/parcels.shp"));
    let allow = |value: &str| gdal::config::set_thread_local_config_option("SHAPE_RESTORE_SHX", value);
    allow("YES").map_err(|e| failed(e.to_string()))?;
    let opened = super::open::dataset(&open, &[]);
    gdal::config::clear_thread_local_config_option("SHAPE_RESTORE_SHX").map_err(|e| failed(e.to_string()))?;
    opened.map_err(failed)?;
    files.push(PathBuf::from(format!("{folder}/parcels.shx")));
    Ok((open, Copy::Memory(files)))
}

/// The option that names the text's encoding where the files don't: UTF-8 if all bytes fit it, else Latin-1, which
/// turns no byte into nothing.
fn encoding(path: &Path, table: &Path, warnings: &mut Vec<Warning>) -> Result<Vec<String>, InputError> {
    if sibling(path, "cpg").is_some() {
        return Ok(Vec::new());
    }
    let broken = |e: std::io::Error| InputError::Incomplete {
        path: table.to_owned(),
        at: String::new(),
        reason: e.to_string(),
    };
    let mut reader = BufReader::new(File::open(table).map_err(broken)?);
    let mut header = [0; HEADER];
    reader.read_exact(&mut header).map_err(broken)?;
    if header[CODE_PAGE] != 0 {
        return Ok(Vec::new());
    }
    let header_length = usize::from(u16::from_le_bytes([header[8], header[9]]));
    let record_length = usize::from(u16::from_le_bytes([header[10], header[11]])).max(1);
    let mut rest = vec![0; header_length.saturating_sub(HEADER)];
    reader.read_exact(&mut rest).map_err(broken)?;
    let mut record = vec![0; record_length];
    while reader.read_exact(&mut record).is_ok() {
        if std::str::from_utf8(&record).is_err() {
            warnings.push(Warning::new(
                "text-encoding-assumed",
                format!(
                    "{} does not say how its text is encoded and is not UTF-8; read as Latin-1",
                    table.display()
                ),
                "put a .cpg file with the name of the encoding beside it",
            ));
            return Ok(vec!["ENCODING=ISO-8859-1".to_owned()]);
        }
    }
    Ok(vec!["ENCODING=UTF-8".to_owned()])
}
