//! What can be wrong with a cover table.

/// A cover table that can't be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error, miette::Diagnostic)]
pub enum CoverTableError {
    /// Not in the form that is expected.
    #[error("{path}: {message}")]
    #[diagnostic(help("the built-in file shows the form: lotshed size --tables toml"))]
    Form {
        /// The file as typed.
        path: String,
        /// What is wrong and where, from the reader of the form.
        message: String,
    },
    /// A source that isn't there.
    #[error("{path}: the class \"{class}\" names the source \"{key}\", which [sources] doesn't have")]
    Source {
        /// The file as typed.
        path: String,
        /// The class.
        class: String,
        /// The key.
        key: String,
    },
    /// A code of a raster that isn't one.
    #[error("{path}: [codes] has the key \"{key}\", which is no whole number")]
    #[diagnostic(help("write a code of the raster and its class, as 21 = \"lawn-good\""))]
    CodeKey {
        /// The file as typed.
        path: String,
        /// The key.
        key: String,
    },
    /// A code of a raster that stands for a class that no table has.
    #[error(
        "{path}: [codes] has {code} for the cover class \"{class}\", which there is not; there are {known}"
    )]
    #[diagnostic(help("write the name of a class, or add the class to the file"))]
    CodeClass {
        /// The file as typed.
        path: String,
        /// The code.
        code: i32,
        /// The class.
        class: String,
        /// All classes.
        known: String,
    },
    /// A code of a raster that is there twice, as 21 and +21 are.
    #[error("{path}: [codes] has {code} more than once, written in different ways")]
    #[diagnostic(help("write each code once"))]
    CodeTwice {
        /// The file as typed.
        path: String,
        /// The code.
        code: i32,
    },
    /// A name by which no cover can be asked for.
    #[error("{path}: the class {class:?} has a name that is empty, or has white space at its ends")]
    #[diagnostic(help("write [class.NAME] with a name as lawn-good"))]
    Name {
        /// The file as typed.
        path: String,
        /// The class.
        class: String,
    },
    /// Codes of a raster that no table gives a class.
    #[error("{path} has cells on the way to the lot whose codes stand for no cover: {codes}")]
    #[diagnostic(help(
        "give each a class in a file for --cover-table, as [codes] and below it 21 = \"lawn-good\""
    ))]
    Codes {
        /// The raster as typed.
        path: String,
        /// The codes.
        codes: String,
    },
    /// A class that no table has.
    #[error("there is no cover class \"{class}\"; there are {known}")]
    #[diagnostic(help("add the class to a file and name it with --cover-table"))]
    Class {
        /// The class asked for.
        class: String,
        /// All classes.
        known: String,
    },
    /// A class of a file of covers that no table has.
    #[error("{path}: {feature}: there is no cover class \"{class}\"; there are {known}")]
    #[diagnostic(help("add the class to a file and name it with --cover-table, or correct the field class"))]
    ClassOfFeature {
        /// The file as typed.
        path: String,
        /// The first feature with it.
        feature: String,
        /// The class.
        class: String,
        /// All classes.
        known: String,
    },
}
