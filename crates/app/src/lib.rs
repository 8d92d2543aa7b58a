//! The `soundmetal` program: command line and local web app.
//!
//! This crate knows files, the clock, threads and HTTP; everything that is worked out comes from the rooms below it.
//! [`cli::run`] is the command line, [`web::router`] the pages.

pub mod cli;
pub mod demo;
pub mod documents;
pub mod failure;
pub mod field;
mod learning;
pub mod photo;
pub mod pictures;
pub mod planning;
pub mod reply;
pub mod shop_data;
pub mod waiting;
pub mod web;
mod words;
