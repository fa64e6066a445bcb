//! Sound files: any common kind in, 32-bit float WAV out.
