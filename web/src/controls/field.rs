//! Fields: a label, a box, a unit, the usual range, and one sentence when what was typed is wrong.
//!
//! In: groups of fields as the editor gives them. Out: what was typed, on leaving the field or pressing Enter. A wrong
//! text stays in its box. Boxes stay the same while values change, so that nobody loses the place while typing.

use crate::state::{Shell, shell};
use baylap_editor::{Field, FieldGroup, FieldId, FieldKind, Message};
use leptos::prelude::*;

/// One row of a list of groups: a heading or a field.
#[derive(Clone, PartialEq)]
enum Row {
    Heading(String),
    Field(FieldId),
}

/// All fields of some groups.
#[component]
pub(crate) fn Fields(
    /// The groups, read again when they change.
    groups: Memo<Vec<FieldGroup>>,
) -> impl IntoView {
    let rows = Memo::new(move |_| groups.with(|groups| rows(groups)));
    view! {
        <div class="fields">
            <For each=move || rows.get() key=row_key children=move |row| match row {
                Row::Heading(title) => view! { <h3>{title}</h3> }.into_any(),
                Row::Field(id) => view! { <OneField groups=groups id=id/> }.into_any(),
            }/>
        </div>
    }
}

fn rows(groups: &[FieldGroup]) -> Vec<Row> {
    let mut rows = Vec::new();
    for group in groups {
        if !group.title.is_empty() {
            rows.push(Row::Heading(group.title.clone()));
        }
        rows.extend(group.fields.iter().map(|f| Row::Field(f.id.clone())));
    }
    rows
}

fn row_key(row: &Row) -> String {
    match row {
        Row::Heading(title) => format!("# {title}"),
        Row::Field(id) => id.to_string(),
    }
}

fn find(groups: &[FieldGroup], id: &FieldId) -> Option<Field> {
    groups.iter().flat_map(|g| &g.fields).find(|f| f.id == *id).cloned()
}

/// One field.
#[component]
fn OneField(groups: Memo<Vec<FieldGroup>>, id: FieldId) -> impl IntoView {
    let shell = shell();
    let wanted = id.clone();
    let field = Memo::new(move |_| groups.with(|g| find(g, &wanted)));
    let first = field.get_untracked();
    let Some(first) = first else { return ().into_any() };
    let name = format!("f-{}", id.0.replace(|c: char| !c.is_ascii_alphanumeric(), "-"));
    let label = move || field.with(|f| f.as_ref().map(|f| f.label.clone()).unwrap_or_default());
    let problem = move || field.with(|f| f.as_ref().and_then(|f| f.problem.clone()));
    let wrong_id = format!("{name}-wrong");
    let described = wrong_id.clone();
    let unit = first.unit;
    let usual = move || field.with(|f| f.as_ref().map_or("", |f| f.usual));
    let wide = wide(&first.kind);
    let input = input(shell, field, &first, &name, described);
    view! {
        <div class="field" class:wide=wide class:bad=move || problem().is_some()>
            <label for=name.clone()>{label}</label>
            <div class="box">
                {input}
                {(!unit.is_empty()).then(|| view! { <span class="unit">{unit}</span> })}
            </div>
            {move || (!usual().is_empty()).then(|| view! { <span class="hint">{usual()}</span> })}
            <span class="wrong-slot" id=wrong_id aria-live="polite">
                {move || problem().map(|words| view! { <span class="wrong">{words}</span> })}
            </span>
        </div>
    }
    .into_any()
}

/// Longest word of a choice that fits half the width of a panel.
const SHORT: usize = 15;

/// Whether a field needs the whole width.
fn wide(kind: &FieldKind) -> bool {
    match kind {
        FieldKind::Text | FieldKind::Notes => true,
        FieldKind::Choice(choices) => choices.iter().any(|c| c.label.len() > SHORT),
        FieldKind::Length | FieldKind::Number | FieldKind::Angle => false,
    }
}

/// The box of a field.
fn input(shell: Shell, field: Memo<Option<Field>>, first: &Field, name: &str, described: String) -> AnyView {
    let id = first.id.clone();
    let name = name.to_owned();
    let text = move || field.with(|f| f.as_ref().map(|f| f.text.clone()).unwrap_or_default());
    let wrong = move || field.with(|f| f.as_ref().is_some_and(|f| f.problem.is_some()));
    let path = id.to_string();
    match &first.kind {
        FieldKind::Choice(_) => {
            let choices = Memo::new(move |_| field.with(|f| f.as_ref().map(choices_of).unwrap_or_default()));
            view! {
                <select
                    id=name
                    data-field=path
                    on:change=move |event| type_in(shell, &id, event_target_value(&event))
                >
                    {move || {
                        let option = |(value, label): (String, String)| {
                            let own = value.clone();
                            view! { <option value=value prop:selected=move || text() == own>{label}</option> }
                        };
                        choices.get().into_iter().map(option).collect_view()
                    }}
                </select>
            }
            .into_any()
        }
        FieldKind::Notes => view! {
            <textarea
                id=name
                data-field=path
                prop:value=text
                on:change=move |event| type_in(shell, &id, event_target_value(&event))
            ></textarea>
        }
        .into_any(),
        kind => {
            let number = !matches!(kind, FieldKind::Text);
            view! {
                <input
                    id=name
                    type="text"
                    data-field=path
                    class:number=number
                    inputmode=if number { "decimal" } else { "text" }
                    autocomplete="off"
                    aria-describedby=described
                    aria-invalid=move || if wrong() { "true" } else { "false" }
                    prop:value=text
                    on:change=move |event| {
                        type_in(shell, &id, event_target_value(&event));
                        // The same value typed another way changes no signal, but the box has to say it our way.
                        event_target::<web_sys::HtmlInputElement>(&event).set_value(&field.with_untracked(|f| {
                            f.as_ref().map(|f| f.text.clone()).unwrap_or_default()
                        }));
                    }
                />
            }
            .into_any()
        }
    }
}

/// The choices of a field: values and words. Some are things of the plan, and change with it.
fn choices_of(field: &Field) -> Vec<(String, String)> {
    match &field.kind {
        FieldKind::Choice(choices) => {
            choices.iter().map(|c| (c.value.to_string(), c.label.to_string())).collect()
        }
        _ => Vec::new(),
    }
}

fn type_in(shell: Shell, id: &FieldId, text: String) {
    shell.refusal_is_over();
    shell.send(Message::Typed { field: id.clone(), text });
    shell.send(Message::FieldLeft);
    // The field says what is wrong with it right under its box: not a second time over the board.
    shell.take_refusal_off_the_board();
}
