//! Automation as plain CSV: `time_s,id,value`.
