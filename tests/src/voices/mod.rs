//! Voices with labels that are exact to the sample.
