//! Cases worked out by hand.
