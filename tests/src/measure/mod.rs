//! Measures of sound, independent of the plug-in.
