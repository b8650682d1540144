//! The figures of one run, measured or simulated, each with its uncertainty and definition.
