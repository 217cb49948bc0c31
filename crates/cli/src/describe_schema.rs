//! `hotside schema`.

use crate::command::SchemaOf;
use crate::console::Console;
use crate::failure::Failure;

/// Prints the JSON Schema of a spec or a shop file.
pub fn schema(of: SchemaOf, console: &mut Console<'_>) -> Result<bool, Failure> {
    let value = match of {
        SchemaOf::Spec => spec::schema::spec(),
        SchemaOf::Shop => spec::schema::shop(),
    };
    console.print_json(&value)?;
    Ok(true)
}
