//! The rig: a host in process, voices, measures and independent models.
