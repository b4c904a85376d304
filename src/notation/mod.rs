//! How people write parts: numbers, values, ratings, designators, lines.
//!
//! The reader is forgiving: it reads the notations of schematics from the
//! 1930s to the 1960s, notes every reading that could be two things, and never
//! loses what it could not read.
//!
//! # A sheet
//! ```text
//! set     Kitchen table set, 1947
//! mains   117 V 60 Hz, 35 W
//! supply  series-string
//! V1   12SK7   1=chassis 8=B2 6=scr
//! T1   power   primary 1 to 2 117 V
//!              secondary 3 to 5 tap 4 500 V CT 180 ohm
//! C1A  40 mfd 150 V electrolytic            B1 to B-
//! C7   .05 400 V paper                      V2.6 to V3.5
//! R3   470K 1/2 W                           V2.6 to B2
//! wire V2.8 to chassis
//! area bottom cover: off: four screws
//! area band switch: C7 C8 R3 after bottom cover
//!      mark: pointer on its cord
//!      readjust: dial pointer
//! ```
//!
//! # Grammar
//! ```text
//! sheet      = { line newline }
//! line       = [ directive | part ] [ "#" remark ]
//! part       = designator { item } ; a line that starts with white space
//!                                  ; continues the line above
//! directive  = "set" name | "mains" { item } | "supply" { item }
//!            | "read" reading | "wire" place { "to" place }
//!            | "meter" resistance [ "per volt on" rating ]
//!            | "type" name base [ class ] { pin "=" electrode | figure }
//!            | "area" name ":" { designator } { clause }
//! clause     = ( "after" | "off:" | "mark:" | "readjust:" ) words { "," words }
//! designator = letters digits [ letter ] ; C7, C1A, R12, V3, T1
//! item       = value | rating | power | tolerance | class | dielectric | role
//!            | word | area | leads | pins | winding | quoted remark
//! leads      = place { "," place } "to" place | "between" place "and" place
//! place      = designator "." ( pin | electrode ) | name ; or as people write
//!                                  ; it: V2-6, V2 pin 6, plate of V2 ([`place`])
//! pins       = ( pin | electrode ) "=" place
//! area       = "in" ( word | quoted )
//! winding    = ( "primary" | "secondary" | ... ) end "to" end
//!              { "tap" end | item } ; an end is a number or a place
//! reading    = "M as thousand" | "M as million"
//! ```
//! Items stand in any order. Columns count characters from 1.

pub mod amount;
pub mod area;
pub mod bare;
mod beside;
pub mod capacitor;
pub mod code;
mod count;
pub mod directive;
pub mod item;
mod joined;
pub mod kinds;
pub mod leads;
pub mod line;
pub mod name;
pub mod note;
pub mod number;
mod open_ratings;
pub mod pin;
pub mod place;
pub mod plus;
pub mod problem;
mod reader;
mod settle;
mod signed;
mod ties;
pub mod tolerance;
pub mod tube_type;
pub mod unit;
pub mod vocabulary;
pub mod winding;
mod wire;
pub mod word;
