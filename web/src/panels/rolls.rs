//! The rolls: each drawn to its length with its cuts, or as a table.
//!
//! In: the layout. Out: bars that light the piece they name on the drawing, and are lit from there. Three hundred rolls
//! are a few thousand cuts: they are written as one text with one ear for all, and only what is lit is touched. What is
//! neither cut nor kept shows as scrap.

use super::ledger::layout_signal;
use super::tables::{hovered_signal, light, nothing, selection_signal};
use crate::state::shell;
use crate::text;
use baylap_core::Layout;
use baylap_core::layout::{Piece, Roll, Strip};
use baylap_editor::{Message, Selection};
use leptos::prelude::*;
use std::collections::BTreeMap;
use std::fmt::Write;
use wasm_bindgen::JsCast;
use web_sys::{Element, HtmlElement};

/// Least share of the longest roll, in thousandths, at which a cut holds its number, and its length as well.
const ROOM_FOR_NUMBER: i64 = 26;
const ROOM_FOR_LENGTH: i64 = 110;
/// The same for the length on a phone.
const ROOM_ON_PHONE: i64 = 210;
/// Ticks of the scale, mm, of which the first is taken that leaves no more than [`MOST_TICKS`].
const TICKS: [i64; 6] = [1000, 2000, 5000, 10_000, 20_000, 50_000];
const MOST_TICKS: i64 = 10;

/// The rolls.
#[component]
pub(crate) fn Rolls() -> impl IntoView {
    let layout = layout_signal();
    let as_table = RwSignal::new(false);
    let head = move || layout.with(|l| text::rolls_head(l));
    let kind = move |this: bool, word: &'static str| {
        view! {
            <label>
                <input
                    type="radio"
                    name="rolls-as"
                    prop:checked=move || as_table.get() == this
                    on:change=move |_| as_table.set(this)
                />
                {word}
            </label>
        }
    };
    view! {
        <Show when=move || !nothing(layout)() fallback=|| view! { <p class="lead">{text::NOTHING_LAID}</p> }>
            <div class="rolls-head">
                <p class="lead">{head}</p>
                <div class="choice" role="group" aria-label=text::ROLLS_AS>
                    {kind(false, text::DRAWN)} {kind(true, text::AS_TABLE)}
                </div>
            </div>
            <Show when=move || !as_table.get() fallback=|| view! { <Table/> }>
                <Drawn/>
            </Show>
        </Show>
    }
    .into_any()
}

/// The rolls as bars.
#[component]
fn Drawn() -> impl IntoView {
    let shell = shell();
    let layout = layout_signal();
    let (selection, hovered) = (selection_signal(), hovered_signal());
    let lit = StoredValue::new(Vec::<(String, &'static str)>::new());
    Effect::new(move |_| {
        layout.track();
        let marks = [(selection.get(), "aria-pressed"), (hovered.get(), "data-lit")];
        let now: Vec<(String, &'static str)> =
            marks.into_iter().filter_map(|(what, mark)| Some((id_of(what?)?, mark))).collect();
        // The bars themselves are written in the same turn, before or after this.
        request_animation_frame(move || {
            lit.try_update_value(|old| {
                old.drain(..).for_each(|(id, mark)| set_mark(&id, mark, false));
                now.iter().for_each(|(id, mark)| set_mark(id, mark, true));
                old.extend(now);
            });
        });
    });
    Effect::new(move |_| {
        if let Some(element) =
            selection.get().and_then(id_of).and_then(|id| document().get_element_by_id(&id))
        {
            let options = web_sys::ScrollIntoViewOptions::new();
            options.set_block(web_sys::ScrollLogicalPosition::Nearest);
            element.scroll_into_view_with_scroll_into_view_options(&options);
        }
    });
    let bars = move || layout.with(|l| html(l, true));
    view! {
        <p class="rolls-key" aria-hidden="true">
            <span class="key piece"></span> {text::KEY_PIECE}
            <span class="key strip"></span> {text::KEY_STRIP}
            <span class="key offcut"></span> {text::KEY_OFFCUT}
            <span class="key scrap"></span> {text::KEY_SCRAP}
        </p>
        <div
            class="rolls"
            data-testid="rolls"
            role="group"
            aria-label=text::ROLLS_NAME
            inner_html=bars
            on:click=move |event| {
                if let Some(what) = event.target().and_then(named) {
                    shell.send(Message::Show(what));
                }
            }
            on:pointerover=move |event| light(shell, event.target().and_then(named))
            on:pointerleave=move |_| light(shell, None)
            on:focusin=move |event| {
                if let Some(target) = event.target() {
                    rove(&target);
                    light(shell, named(target));
                }
            }
            on:focusout=move |_| light(shell, None)
            on:keydown=move |event| {
                if step(&event.key(), event.target()) {
                    event.prevent_default();
                }
            }
        ></div>
    }
    .into_any()
}

/// Id of the bar of a selection.
fn id_of(what: Selection) -> Option<String> {
    match what {
        Selection::Piece(n) => Some(format!("cut-{n}")),
        Selection::Strip(n) => Some(format!("strip-{n}")),
        Selection::Roll(n) => Some(format!("row-roll-{n}")),
        _ => None,
    }
}

fn set_mark(id: &str, mark: &str, on: bool) {
    let Some(element) = document().get_element_by_id(id) else { return };
    let _ = match (mark, on) {
        ("aria-pressed", on) => element.set_attribute(mark, if on { "true" } else { "false" }),
        (_, true) => element.set_attribute(mark, ""),
        (_, false) => element.remove_attribute(mark),
    };
}

/// What an element of the bars stands for.
fn named(target: web_sys::EventTarget) -> Option<Selection> {
    let button = target.dyn_into::<Element>().ok()?.closest("[data-kind]").ok()??;
    let number = button.get_attribute("data-n")?.parse().ok()?;
    match button.get_attribute("data-kind")?.as_str() {
        "piece" => Some(Selection::Piece(number)),
        "strip" => Some(Selection::Strip(number)),
        "roll" => Some(Selection::Roll(number)),
        _ => None,
    }
}

/// One of the bars at a time is reached by Tab: the one that had the focus last.
fn rove(target: &web_sys::EventTarget) {
    let Some(button) = target.dyn_ref::<Element>() else { return };
    if let Ok(Some(old)) = document().query_selector(".rolls [tabindex='0']") {
        let _ = old.set_attribute("tabindex", "-1");
    }
    let _ = button.set_attribute("tabindex", "0");
}

/// Arrow keys go along a roll and from roll to roll; whether the key was used.
fn step(key: &str, target: Option<web_sys::EventTarget>) -> bool {
    let Some(here) = target.and_then(|t| t.dyn_into::<Element>().ok()) else { return false };
    let next = match key {
        "ArrowRight" => beside(&here, 1),
        "ArrowLeft" => beside(&here, -1),
        "ArrowDown" => below(&here, 1),
        "ArrowUp" => below(&here, -1),
        _ => return false,
    };
    if let Some(next) = next.and_then(|e| e.dyn_into::<HtmlElement>().ok()) {
        let _ = next.focus();
    }
    true
}

fn buttons_of(row: &Element) -> Vec<Element> {
    let Ok(list) = row.query_selector_all("[data-kind]") else { return Vec::new() };
    (0..list.length()).filter_map(|i| list.get(i)?.dyn_into().ok()).collect()
}

fn beside(here: &Element, by: isize) -> Option<Element> {
    let row = here.closest(".roll").ok()??;
    let all = buttons_of(&row);
    let at = all.iter().position(|e| e == here)?.checked_add_signed(by)?;
    all.get(at).cloned()
}

fn below(here: &Element, by: isize) -> Option<Element> {
    let row = here.closest(".roll").ok()??;
    let at = buttons_of(&row).iter().position(|e| e == here)?;
    let mut next = Some(row);
    loop {
        next =
            next.and_then(|r| if by > 0 { r.next_element_sibling() } else { r.previous_element_sibling() });
        let row = next.as_ref()?;
        if row.class_list().contains("roll") {
            let all = buttons_of(row);
            return all.get(at.min(all.len().saturating_sub(1))).cloned();
        }
    }
}

/// All rolls as one text of HTML: as buttons, or as plain bars for paper. Numbers only, and the names of kinds nowhere,
/// so that nothing in it comes from a file unchecked.
pub(crate) fn html(layout: &Layout, live: bool) -> String {
    let longest = layout.rolls.iter().map(|r| r.length).max().unwrap_or(1).max(1);
    let widest = layout.rolls.iter().map(|r| r.width).max().unwrap_or(1).max(1);
    let pieces: BTreeMap<u32, &Piece> = layout.pieces.iter().map(|p| (p.number, p)).collect();
    let strips: BTreeMap<u32, &Strip> = layout.strips.iter().map(|s| (s.number, s)).collect();
    let mut out = scale(longest);
    let mut kind = None;
    let several = layout.rolls.windows(2).any(|w| w[0].kind != w[1].kind);
    let mut rolls: Vec<&Roll> = layout.rolls.iter().collect();
    rolls.sort_by_key(|r| (r.kind, r.number));
    for (n, roll) in rolls.into_iter().enumerate() {
        if several && kind != Some(roll.kind) {
            kind = Some(roll.kind);
            let count = layout.rolls.iter().filter(|r| r.kind == roll.kind).count();
            let _ = write!(out, "<h3 class=\"kind\">{}</h3>", text::roll_kind(roll, count));
        }
        let sheet = Sheet { roll, longest, widest, live };
        sheet.write(&mut out, n == 0, &pieces, &strips);
    }
    out
}

/// The metres over the bars.
fn scale(longest: i64) -> String {
    let tick = TICKS.into_iter().find(|t| longest / t <= MOST_TICKS).unwrap_or(TICKS[5]);
    let mut out =
        "<div class=\"roll-scale\" aria-hidden=\"true\"><span></span><span class=\"marks\">".to_owned();
    for at in (0..=longest / tick).map(|k| k * tick) {
        let class = if at == longest { "end" } else { "" };
        let _ = write!(out, "<i class=\"{class}\" style=\"left:{}\">{}</i>", share(at, longest), at / 1000);
    }
    out.push_str("</span></div>");
    out
}

/// A part of a whole as a length of CSS.
fn share(part: i64, whole: i64) -> String {
    #[allow(clippy::cast_precision_loss)]
    let percent = part as f64 * 100.0 / whole.max(1) as f64;
    format!("{percent:.3}%")
}

/// One roll being written.
struct Sheet<'a> {
    roll: &'a Roll,
    longest: i64,
    widest: i64,
    live: bool,
}

/// What is cut from a roll, as the bars show it.
struct Cut {
    kind: &'static str,
    number: u32,
    from: i64,
    length: i64,
    across: i64,
    width: i64,
}

impl Sheet<'_> {
    fn write(
        &self,
        out: &mut String,
        first: bool,
        pieces: &BTreeMap<u32, &Piece>,
        strips: &BTreeMap<u32, &Strip>,
    ) {
        let roll = self.roll;
        let piece = |p: &&Piece| Cut {
            kind: "piece",
            number: p.number,
            from: p.roll_from,
            length: p.length,
            across: p.roll_across,
            width: p.across[1] - p.across[0],
        };
        let strip = |s: &&Strip| Cut {
            kind: "strip",
            number: s.number,
            from: s.roll_from,
            length: s.length,
            across: s.roll_across,
            width: s.width,
        };
        let mut cuts: Vec<Cut> = roll.pieces.iter().filter_map(|n| pieces.get(n)).map(piece).collect();
        cuts.extend(roll.strips.iter().filter_map(|n| strips.get(n)).map(strip));
        cuts.sort_by_key(|c| (c.from, c.across));
        let slit = cuts.iter().any(|c| c.width < roll.width);
        let class = if slit { "roll slit" } else { "roll" };
        let _ = write!(out, "<div class=\"{class}\" id=\"{}row-roll-{}\">", self.prefix(), roll.number);
        let tab = if first { "0" } else { "-1" };
        if self.live {
            let name = text::roll_name(roll, cuts.len());
            let _ = write!(
                out,
                "<button type=\"button\" class=\"in-row\" data-kind=\"roll\" data-n=\"{0}\" tabindex=\"{tab}\" aria-label=\"{name}\">{0}</button>",
                roll.number
            );
        } else {
            let _ = write!(out, "<b>{}</b>", roll.number);
        }
        let (long, wide) = (share(roll.length, self.longest), share(roll.width, self.widest));
        let _ = write!(out, "<span class=\"bar-roll\" style=\"width:{long};--wide:{wide}\">");
        cuts.iter().for_each(|c| self.cut(out, c));
        self.rest(out);
        out.push_str("</span></div>");
    }

    const fn prefix(&self) -> &'static str {
        if self.live { "" } else { "p-" }
    }

    fn cut(&self, out: &mut String, cut: &Cut) {
        let roll = self.roll;
        let permille = cut.length * 1000 / self.longest;
        let tall = cut.width * 10 >= roll.width * 4;
        let room = match permille {
            _ if !tall => "",
            p if p >= ROOM_ON_PHONE => " number length roomy",
            p if p >= ROOM_FOR_LENGTH => " number length",
            p if p >= ROOM_FOR_NUMBER => " number",
            _ => "",
        };
        let place = format!(
            "left:{};width:{};top:{};height:{}",
            share(cut.from, roll.length),
            share(cut.length, roll.length),
            share(cut.across, roll.width),
            share(cut.width, roll.width)
        );
        let length = text::metres_bare(cut.length);
        let inside = format!("<b>{}</b><span>{length}</span>", cut.number);
        if !self.live {
            let _ = write!(out, "<span class=\"cut {}{room}\" style=\"{place}\">{inside}</span>", cut.kind);
            return;
        }
        let slit = (cut.width < roll.width).then_some(cut.width);
        let name = text::cut_name(cut.kind, cut.number, cut.length, slit);
        let id = if cut.kind == "piece" { "cut" } else { "strip" };
        let _ = write!(
            out,
            "<button type=\"button\" class=\"cut {kind}{room}\" id=\"{id}-{n}\" data-kind=\"{kind}\" data-n=\"{n}\" tabindex=\"-1\" aria-pressed=\"false\" aria-label=\"{name}\" title=\"{name}\" style=\"{place}\">{inside}</button>",
            kind = cut.kind,
            n = cut.number
        );
    }

    fn rest(&self, out: &mut String) {
        let roll = self.roll;
        if roll.rest <= 0 {
            return;
        }
        let (class, word) = if roll.kept { ("offcut", text::KEY_OFFCUT) } else { ("scrap", text::KEY_SCRAP) };
        let place = format!(
            "left:{};width:{}",
            share(roll.length - roll.rest, roll.length),
            share(roll.rest, roll.length)
        );
        let permille = roll.rest * 1000 / self.longest;
        let roomy = if permille >= ROOM_ON_PHONE { " roomy" } else { "" };
        let words = match permille {
            p if p >= ROOM_FOR_LENGTH => format!("<span>{word} {}</span>", text::metres_bare(roll.rest)),
            _ => String::new(),
        };
        let title = format!("{word}, {} m", text::metres_bare(roll.rest));
        let _ = write!(
            out,
            "<span class=\"rest {class}{roomy}\" style=\"{place}\" title=\"{title}\">{words}</span>"
        );
    }
}

/// The rolls as a table.
#[component]
fn Table() -> impl IntoView {
    let shell = shell();
    let layout = layout_signal();
    let row = move |(roll, cuts): (Roll, String)| {
        let rest = if roll.kept { text::KEY_OFFCUT } else { text::KEY_SCRAP };
        let show = move || {
            shell.send(Message::Show(Selection::Roll(roll.number)));
        };
        view! {
            <tr
                on:click=move |_| show()
                on:pointerenter=move |_| light(shell, Some(Selection::Roll(roll.number)))
                on:pointerleave=move |_| light(shell, None)
            >
                <td>
                    <button type="button" class="in-row" aria-label=text::roll_name(&roll, roll.pieces.len() + roll.strips.len()) on:click=move |event| {
                        event.stop_propagation();
                        show();
                    }>{roll.number}</button>
                </td>
                <td class="r">{roll.width}</td>
                <td class="r">{text::metres_bare(roll.length)}</td>
                <td class="cuts">{cuts}</td>
                <td class="r">{text::metres_bare(roll.rest)}</td>
                <td>{if roll.rest > 0 { rest } else { "" }}</td>
            </tr>
        }
    };
    view! {
        <table data-testid="rolls-table">
            <caption class="hidden-words">{text::ROLLS_NAME}</caption>
            <thead>
                <tr>
                    <th scope="col">"Roll"</th>
                    <th scope="col" class="r">"Width, mm"</th>
                    <th scope="col" class="r">"Length, m"</th>
                    <th scope="col">"Cuts from its free end: piece and length, m"</th>
                    <th scope="col" class="r">"Rest, m"</th>
                    <th scope="col">"Which is"</th>
                </tr>
            </thead>
            <tbody>{move || layout.with(lines).into_iter().map(row).collect_view()}</tbody>
        </table>
    }
    .into_any()
}

/// Each roll with its cuts in words.
fn lines(layout: &std::sync::Arc<Layout>) -> Vec<(Roll, String)> {
    let pieces: BTreeMap<u32, &Piece> = layout.pieces.iter().map(|p| (p.number, p)).collect();
    let strips: BTreeMap<u32, &Strip> = layout.strips.iter().map(|s| (s.number, s)).collect();
    let slit = |width: i64, roll: &Roll| (width < roll.width).then_some(width);
    let line = |roll: &Roll| {
        let piece = |p: &&Piece| {
            (p.roll_from, text::cut_words("", p.number, p.length, slit(p.across[1] - p.across[0], roll)))
        };
        let strip = |s: &&Strip| {
            (s.roll_from, text::cut_words(text::KEY_STRIP, s.number, s.length, slit(s.width, roll)))
        };
        let mut words: Vec<(i64, String)> =
            roll.pieces.iter().filter_map(|n| pieces.get(n)).map(piece).collect();
        words.extend(roll.strips.iter().filter_map(|n| strips.get(n)).map(strip));
        words.sort_by_key(|(from, _)| *from);
        let words: Vec<String> = words.into_iter().map(|(_, w)| w).collect();
        (roll.clone(), words.join(", "))
    };
    layout.rolls.iter().map(line).collect()
}
