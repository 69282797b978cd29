//! The published JSON Schemas are the ones the types give, and the files fit them.
//!
//! `UPDATE_SCHEMA=1` writes `demo-data/schema/` again. The judge is the `jsonschema` crate, which knows nothing of the
//! types.

use crate::places::{bad_files, demos, plan_of, same_or_rewrite, top};
use baylap_core::layout::{self, Layout};
use baylap_core::plan::file::{self, PlanFile};
use serde_json::{Value, json};

#[test]
fn schemas_are_up_to_date() {
    for (name, schema) in [("plan", plan_schema()), ("layout", layout_schema())] {
        let path = top().join(format!("demo-data/schema/{name}.schema.json"));
        same_or_rewrite(&path, &(serde_json::to_string_pretty(&schema).unwrap() + "\n"), "UPDATE_SCHEMA");
    }
}

#[test]
fn demo_plans_fit_the_plan_schema() {
    let schema = jsonschema::validator_for(&plan_schema()).unwrap();
    for (name, text) in demos() {
        assert_fits(&schema, &name, &serde_json::from_str(&text).unwrap());
    }
    let default = file::write(&baylap_core::Plan::default());
    assert_fits(&schema, "the default plan", &serde_json::from_str(&default).unwrap());
}

/// The schema refuses what the reader refuses for its form, so that other programs can rely on it.
#[test]
fn badly_formed_files_do_not_fit_the_plan_schema() {
    let schema = jsonschema::validator_for(&plan_schema()).unwrap();
    let badly_formed = [
        "float-coordinate.json",
        "huge-coordinate.json",
        "missing-field.json",
        "newer-version.json",
        "no-version.json",
        "odd-version.json",
        "other-format.json",
        "three-coordinates.json",
        "unknown-field.json",
        "unknown-kind.json",
        "wrong-type.json",
    ];
    let mut seen = 0;
    for (name, text) in bad_files() {
        let Ok(value) = serde_json::from_str::<Value>(&text) else { continue };
        if badly_formed.contains(&name.as_str()) {
            seen += 1;
            assert!(!schema.is_valid(&value), "{name}");
        } else if file::read(text.as_bytes()).is_ok() {
            assert_fits(&schema, &name, &value);
        }
    }
    assert_eq!(seen, badly_formed.len());
}

#[test]
fn layouts_of_the_demo_plans_fit_the_layout_schema() {
    let schema = jsonschema::validator_for(&layout_schema()).unwrap();
    for (name, text) in demos() {
        let layout = baylap_core::lay(&plan_of(&name, &text));
        assert_fits(&schema, &name, &serde_json::to_value(&layout).unwrap());
    }
    assert!(!schema.is_valid(&json!({"format": layout::FORMAT, "version": layout::VERSION + 1})));
}

#[track_caller]
fn assert_fits(schema: &jsonschema::Validator, name: &str, value: &Value) {
    let faults: Vec<String> =
        schema.iter_errors(value).map(|e| format!("{} at {}", e, e.instance_path())).collect();
    assert!(faults.is_empty(), "{name}: {faults:#?}");
}

/// The plan file: the types' schema, with the envelope's constants and the range of coordinates.
fn plan_schema() -> Value {
    let mut schema = Value::from(schemars::schema_for!(PlanFile));
    schema["title"] = json!("baylap plan file, version 1");
    schema["properties"]["format"] = json!({"const": file::FORMAT, "description": "Always `baylap-plan`."});
    schema["properties"]["version"] =
        json!({"const": file::VERSION, "description": "Version of the format."});
    limit_coordinates(&mut schema);
    plain_words(&mut schema);
    schema
}

fn layout_schema() -> Value {
    let mut schema = Value::from(schemars::schema_for!(Layout));
    schema["title"] = json!("baylap layout, version 1");
    schema["properties"]["format"] =
        json!({"const": layout::FORMAT, "description": "Always `baylap-layout`."});
    schema["properties"]["version"] =
        json!({"const": layout::VERSION, "description": "Version of this format."});
    plain_words(&mut schema);
    schema
}

/// Descriptions come from the documentation of the types: its links mean nothing in a schema.
fn plain_words(schema: &mut Value) {
    match schema {
        Value::Array(list) => list.iter_mut().for_each(plain_words),
        Value::Object(map) => {
            if let Some(Value::String(text)) = map.get_mut("description") {
                *text = text.replace("[`", "`").replace("`]", "`");
            }
            map.values_mut().for_each(plain_words);
        }
        _ => {}
    }
}

/// Every point is a pair of whole millimetres within the range that the reader takes.
fn limit_coordinates(schema: &mut Value) {
    let is_point = schema["type"] == "array" && schema["maxItems"] == 2;
    if is_point && let Some(items) = schema.get_mut("items") {
        items["minimum"] = json!(-file::COORDINATE);
        items["maximum"] = json!(file::COORDINATE);
    }
    match schema {
        Value::Array(list) => list.iter_mut().for_each(limit_coordinates),
        Value::Object(map) => map.values_mut().for_each(limit_coordinates),
        _ => {}
    }
}
