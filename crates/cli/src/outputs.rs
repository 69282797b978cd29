//! The files of a result: where they go and what is in them.
//!
//! In: a plan, its layout, a folder. Out: `layout.json`, `setting-out.pdf`, `cut-list.csv` and, where there are bays,
//! `days.pdf` in the folder, or one sentence; where falls are known, `drainage.pdf`, `drainage.svg`, `ponds.csv`, `outlets.csv` and `seams.csv` too. Files
//! of an earlier run are written over; nothing else in the folder is touched.

use crate::arguments::Paper;
use crate::source::Source;
use baylap_core::{Layout, Plan};
use baylap_sheets::SheetOptions;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// The folder of each plan's results: the one given for a single plan, one within it for each of several.
pub(crate) fn folders(out: &Path, sources: &[Source]) -> Vec<PathBuf> {
    if sources.len() == 1 {
        return vec![out.to_owned()];
    }
    let mut taken = BTreeSet::new();
    sources.iter().map(|source| out.join(free_name(&source.stem(), &mut taken))).collect()
}

/// Writes the files of one result; no sheets without paper.
pub(crate) fn write(folder: &Path, plan: &Plan, layout: &Layout, paper: Option<Paper>) -> Result<(), String> {
    fs::create_dir_all(folder).map_err(|e| refused(folder, &e))?;
    let text = serde_json::to_string(layout).map_err(|e| format!("The layout could not be written: {e}."))?;
    put(&folder.join("layout.json"), (text + "\n").as_bytes())?;
    let Some(paper) = paper else { return Ok(()) };
    let paper = match paper {
        Paper::A4 => baylap_sheets::Paper::A4,
        Paper::A3 => baylap_sheets::Paper::A3,
    };
    let options = SheetOptions { paper };
    put(&folder.join("setting-out.pdf"), &baylap_sheets::setting_out_pdf(plan, layout, &options))?;
    put(&folder.join("cut-list.csv"), baylap_sheets::cut_list_csv(layout).as_bytes())?;
    if let Some(pdf) = baylap_sheets::days_pdf(plan, layout, &options) {
        put(&folder.join("days.pdf"), &pdf)?;
    }
    drainage(folder, plan, layout, &options)
}

/// The drainage sheet and its lists; nothing where no falls are known.
fn drainage(folder: &Path, plan: &Plan, layout: &Layout, options: &SheetOptions) -> Result<(), String> {
    let Some(pdf) = baylap_sheets::drainage_pdf(plan, layout, options) else { return Ok(()) };
    put(&folder.join("drainage.pdf"), &pdf)?;
    let svg = baylap_sheets::drainage_svg(plan, layout, options).unwrap_or_default();
    put(&folder.join("drainage.svg"), svg.as_bytes())?;
    put(&folder.join("ponds.csv"), baylap_sheets::pond_list_csv(layout).as_bytes())?;
    put(&folder.join("outlets.csv"), baylap_sheets::outlet_list_csv(plan, layout).as_bytes())?;
    put(&folder.join("seams.csv"), baylap_sheets::seam_list_csv(layout).as_bytes())
}

/// A name no other plan of the run has: on file systems that do not tell case apart, too.
fn free_name(stem: &str, taken: &mut BTreeSet<String>) -> String {
    let mut name = stem.to_owned();
    let mut next = 2;
    while !taken.insert(name.to_lowercase()) {
        name = format!("{stem}-{next}");
        next += 1;
    }
    name
}

fn put(path: &Path, bytes: &[u8]) -> Result<(), String> {
    fs::write(path, bytes).map_err(|e| refused(path, &e))
}

fn refused(path: &Path, error: &std::io::Error) -> String {
    format!("{} could not be written ({error}): choose a folder that may be written to.", path.display())
}

#[cfg(test)]
mod tests {
    //! Folders of several plans never meet.
    use super::*;

    #[test]
    fn plans_of_one_name_get_folders_of_their_own() {
        let sources: Vec<Source> = ["a/roof.json", "b/roof.json", "c/Roof.json", "-", "roof-2.json"]
            .map(|p| Source::new(Path::new(p)))
            .into();
        let names: Vec<String> = folders(Path::new("out"), &sources)
            .iter()
            .map(|f| f.file_name().unwrap().to_string_lossy().into_owned())
            .collect();
        assert_eq!(names, ["roof", "roof-2", "Roof-3", "standard-input", "roof-2-2"]);
        assert_eq!(folders(Path::new("out"), &sources[..1]), [PathBuf::from("out")]);
    }
}
