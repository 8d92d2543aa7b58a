//! The pages, asked in-process: status, HTML, what is written and what is refused.

mod api_types;
mod browser;
mod command_line;
mod edits;
mod pages;
mod photos;
