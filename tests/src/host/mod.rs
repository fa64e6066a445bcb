//! A CLAP host in process.
