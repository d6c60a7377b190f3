//! Stage 2.
