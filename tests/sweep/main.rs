//! `drybench sweep` as typed.

mod bytes;
mod cases;
mod damage;
mod drawn;
mod figures;
mod folder;
mod kit;
