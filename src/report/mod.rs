//! Numbers in, bytes out: tables, CSV, JSON and figures. Nothing here simulates or opens files.

pub mod figure;
