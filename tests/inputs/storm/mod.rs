//! The design storm in whole runs of the program, on ground whose answer is known on paper.

mod flows;
mod graphical;
mod usage;
