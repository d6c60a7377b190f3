//! placeholder while exploring
