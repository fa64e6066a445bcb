//! Independent models of the processors that are compared.
