//! The committed JSON Schemas are the generated ones. `HOTSIDE_BLESS=1` writes them anew.

use std::path::PathBuf;

fn check(file: &str, schema: &serde_json::Value) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../specs").join(file);
    let text = serde_json::to_string_pretty(schema).unwrap() + "\n";
    if std::env::var_os("HOTSIDE_BLESS").is_some() {
        std::fs::write(&path, &text).unwrap();
    }
    let committed = std::fs::read_to_string(&path).unwrap();
    assert!(committed == text, "{file} is stale: run the test once with HOTSIDE_BLESS=1");
}

#[test]
fn the_committed_schemas_are_current() {
    check("spec.schema.json", &spec::schema::spec());
    check("shop.schema.json", &spec::schema::shop());
}

/// Every key has a description, and every table is closed to unknown keys.
#[test]
fn every_key_is_described() {
    fn walk(value: &serde_json::Value, tables: &mut usize) {
        let Some(properties) =
            value.get("properties").filter(|_| value.get("additionalProperties").is_some())
        else {
            return;
        };
        *tables += 1;
        assert_eq!(value["additionalProperties"], false);
        for (name, property) in properties.as_object().unwrap() {
            assert!(!property["description"].as_str().unwrap_or("").is_empty(), "{name} is not described");
            walk(property, tables);
            walk(&property["additionalProperties"], tables);
            walk(&property["items"], tables);
            for forms in [&property["items"]["oneOf"], &property["anyOf"]] {
                for form in forms.as_array().into_iter().flatten() {
                    walk(form, tables);
                }
            }
        }
    }
    let mut tables = 0;
    walk(&spec::schema::spec(), &mut tables);
    assert!(tables >= 32, "{tables}");
    tables = 0;
    walk(&spec::schema::shop(), &mut tables);
    assert_eq!(tables, 8);
}
