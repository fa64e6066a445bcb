//! The commands of the house.

fn main() {}
