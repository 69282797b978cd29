//! The setting-out sheet, the day sheets and the drainage sheet: all their pages in order, bordered and numbered.
//!
//! In: plan, layout, paper. Out: pages, or the PDF made of them. The same input gives the same bytes.

use crate::page::{Ink, Page};
use crate::plan_sheets::Purpose;
use crate::style::Paper;
use crate::text::encode;
use crate::{day_sheets, drainage_sheets, list_sheets, page_svg, pdf, plan_sheets, protection_sheets, title};
use baylap_core::{Layout, Plan};

/// How the sheets are made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SheetOptions {
    /// Paper of every sheet.
    pub paper: Paper,
}

/// The setting-out sheet as a vector PDF at true scale.
pub fn setting_out_pdf(plan: &Plan, layout: &Layout, options: &SheetOptions) -> Vec<u8> {
    let name = if plan.job.name.is_empty() { "Setting-out sheet" } else { &plan.job.name };
    pdf::write(&setting_out_pages(plan, layout, options), name)
}

/// The pages of the setting-out sheet.
pub fn setting_out_pages(plan: &Plan, layout: &Layout, options: &SheetOptions) -> Vec<Page> {
    let paper = options.paper;
    let mut pages = plan_sheets::plan_pages(plan, layout, paper, (Purpose::SettingOut, 1));
    pages.extend(list_sheets::detail_pages(plan, layout, paper));
    pages.extend(list_sheets::bay_pages(plan, layout, paper));
    pages.extend(list_sheets::piece_pages(plan, layout, paper));
    pages.extend(list_sheets::cut_pages(plan, layout, paper));
    if layout.protection.is_some() {
        pages.push(plan_sheets::overview_page(plan, layout, paper, Purpose::Protection));
        pages.extend(protection_sheets::pages(plan, layout, paper));
    }
    pages.extend(list_sheets::finding_pages(layout, paper));
    pages.extend(list_sheets::caution_pages(paper));
    pages.extend(list_sheets::sign_off_pages(layout, paper));
    framed(pages, plan)
}

/// The drainage sheet, for the designer, as a vector PDF at true scale. `None` when no falls are known.
pub fn drainage_pdf(plan: &Plan, layout: &Layout, options: &SheetOptions) -> Option<Vec<u8>> {
    let pages = drainage_pages(plan, layout, options);
    let name = if plan.job.name.is_empty() { "Drainage sheet" } else { &plan.job.name };
    (!pages.is_empty()).then(|| pdf::write(&pages, name))
}

/// The day sheets, for the gangs, as a PDF. `None` before the order of the bays is known.
pub fn days_pdf(plan: &Plan, layout: &Layout, options: &SheetOptions) -> Option<Vec<u8>> {
    let pages = days_pages(plan, layout, options);
    let name = if plan.job.name.is_empty() { "Day sheets" } else { &plan.job.name };
    (!pages.is_empty()).then(|| pdf::write(&pages, name))
}

/// The pages of the day sheets; none before the order of the bays is known.
pub fn days_pages(plan: &Plan, layout: &Layout, options: &SheetOptions) -> Vec<Page> {
    framed(day_sheets::pages(plan, layout, options.paper), plan)
}

/// The plan of the drainage sheet with its key as a picture at true scale. `None` when no falls are known.
pub fn drainage_svg(plan: &Plan, layout: &Layout, options: &SheetOptions) -> Option<String> {
    drainage_pages(plan, layout, options).first().map(page_svg::page_svg)
}

/// The pages of the drainage sheet; none when no falls are known.
pub fn drainage_pages(plan: &Plan, layout: &Layout, options: &SheetOptions) -> Vec<Page> {
    let Some(falls) = &layout.falls else { return Vec::new() };
    let paper = options.paper;
    let mut pages = plan_sheets::plan_pages(plan, layout, paper, (Purpose::Drainage, 1));
    pages.extend(drainage_sheets::pages(plan, (layout, falls), paper));
    framed(pages, plan)
}

/// Pages with their borders and title blocks.
fn framed(mut pages: Vec<Page>, plan: &Plan) -> Vec<Page> {
    let count = pages.len();
    for (index, page) in pages.iter_mut().enumerate() {
        let exact = is_exact(page) && job_is_exact(plan);
        title::block(page, plan, index + 1, count, exact);
    }
    pages
}

/// Whether the typeface has every letter of a page.
fn is_exact(page: &Page) -> bool {
    page.ink.iter().all(|ink| if let Ink::Text(words) = ink { encode(&words.text).exact } else { true })
}

fn job_is_exact(plan: &Plan) -> bool {
    let job = &plan.job;
    [&job.name, &job.part, &job.number, &job.client, &job.drawn_by, &job.date, &job.revision]
        .into_iter()
        .all(|words| encode(words).exact)
}
