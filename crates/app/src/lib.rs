//! The `soundmetal` program: command line and local web app.
