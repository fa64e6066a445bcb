//! Siskin and Siskin Follow: parameters, state and process around the engine of `siskin-dsp`.
