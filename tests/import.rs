//! Logger text through the importer. All logs here are invented, except where a test says otherwise.

#[path = "import/bad_input.rs"]
mod bad_input;
#[path = "import/blocks.rs"]
mod blocks;
#[path = "import/bytes.rs"]
mod bytes;
#[path = "import/columns.rs"]
mod columns;
#[path = "import/commands.rs"]
mod commands;
#[path = "import/corpus.rs"]
mod corpus;
#[path = "import/json.rs"]
mod json;
#[path = "import/kit.rs"]
mod kit;
#[path = "import/labelled.rs"]
mod labelled;
#[path = "import/properties.rs"]
mod properties;
#[path = "import/samples.rs"]
mod samples;
#[path = "import/streaming.rs"]
mod streaming;
#[path = "import/structures.rs"]
mod structures;
#[path = "import/times.rs"]
mod times;
#[path = "import/values.rs"]
mod values;
