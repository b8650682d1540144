//! `drybench sweep` as typed.

mod bytes;
mod cases;
mod drawn;
mod figures;
mod folder;
mod kit;
