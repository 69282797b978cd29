//! baylap's sheets: drawings and files from a plan and its layout.
//!
//! In: a [`baylap_core::Plan`] and the [`baylap_core::Layout`] the engine made of it. Out: a display list that the
//! screen paints ([`deck_scene`]), a setting-out sheet as PDF ([`setting_out_pdf`]), drawings as SVG
//! ([`scene_svg`]), lists as CSV ([`cut_list_csv`]). Pure functions: no files, no clock, the same bytes on every
//! machine. It lays nothing itself and knows nothing of the screen.

pub mod arrows;
pub mod caution;
pub mod chains;
pub mod clip;
pub mod csv_lists;
pub mod day_plans;
pub mod day_sheets;
pub mod dimension;
pub mod drainage_csv;
pub mod drainage_plan;
pub mod drainage_sheets;
pub mod drainage_tables;
pub mod draw;
pub mod fall_layers;
pub mod falls;
pub mod figures;
pub mod key;
pub mod key_plan;
pub mod label;
pub mod list;
pub mod list_sheets;
pub mod look;
pub mod measure;
pub mod page;
pub mod page_svg;
pub mod pdf;
pub mod place;
pub mod plan_sheets;
pub mod protection_sheets;
pub mod records_csv;
pub mod reference;
pub mod roll_bars;
pub mod scene;
pub mod seam_marks;
pub mod set;
pub mod side;
pub mod sign;
pub mod slopes;
pub mod style;
pub mod svg;
pub mod table;
pub mod text;
pub mod title;
pub mod view;

pub use csv_lists::{cut_list_csv, piece_table_csv};
pub use drainage_csv::{outlet_list_csv, pond_list_csv, seam_list_csv};
pub use draw::{SceneOptions, deck_scene};
pub use fall_layers::{FallLayer, FallLayers};
pub use look::{bay_hatch, bay_tint};
pub use records_csv::records_csv;
pub use scene::{Role, Scene};
pub use set::{
    SheetOptions, days_pages, days_pdf, drainage_pages, drainage_pdf, drainage_svg, setting_out_pages,
    setting_out_pdf,
};
pub use style::Paper;
pub use svg::scene_svg;

/// Name and version of the program, as the sheets print it.
pub const PROGRAM: &str = concat!("baylap ", env!("CARGO_PKG_VERSION"));
