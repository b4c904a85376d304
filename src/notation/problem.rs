//! What can be wrong on a line: named for what was expected, worded once.

use super::number::NumberError;
use crate::trade::quantity::OutOfRange;
use thiserror::Error;

/// A fault or a doubtful reading, with the marks it is about.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Problem {
    /// A line that starts with neither a designator nor a directive.
    #[error(
        "'{0}' does not start a line; expected a designator such as C7 or R12, or set, mains, supply, meter, read, type, wire, area"
    )]
    LineStart(String),
    /// A designator without its number.
    #[error("'{0}' has no number; expected a designator such as {0}1")]
    DesignatorNumber(String),
    /// A line of text that is none.
    #[error("this line is not text; it was left unread")]
    NotText,
    /// A line past the longest that is read.
    #[error("this line is longer than {0} characters; the rest was left unread")]
    LineTooLong(usize),
    /// A continued line with nothing above it to continue.
    #[error("this line starts with a space, so it continues the part above, but there is none")]
    NothingToContinue,
    /// A word with no meaning here.
    #[error(
        "'{0}' was not understood; expected a value, rating, tolerance, dielectric, role, or 'place to place'"
    )]
    Word(String),
    /// A word close to one that has a meaning.
    #[error("'{0}' was not understood; did you mean '{1}'?")]
    Misspelt(String, String),
    /// Figures that form no number.
    #[error("'{0}' is no number: {1}")]
    Number(String, NumberError),
    /// A number with an unknown unit.
    #[error("'{0}': '{1}' is no unit; expected {2}")]
    Unit(String, String, &'static str),
    /// A number that needs a unit here.
    #[error("'{0}' has no unit; expected {1}")]
    NoUnit(String, &'static str),
    /// A quantity outside its range.
    #[error("'{0}' is out of range: {1}")]
    Range(String, OutOfRange),
    /// A quantity that this kind of part does not have.
    #[error("'{0}' is {article} {1}, which a {2} does not have", article = article(.1))]
    WrongMeasure(String, &'static str, &'static str),
    /// A second value, rating, and so on.
    #[error("'{0}' is a second {1}; the first one counts")]
    Second(String, &'static str),
    /// A role beside one that asks for a safety class.
    #[error("'{0}' is left out: the line or metal that this line speaks of counts")]
    OtherRole(String),
    /// Ratings that do not match the sections.
    #[error("'{0}' gives {1} ratings for {2} sections; give one, or one for each")]
    RatingCount(String, usize, usize),
    /// `to` without a place on one side.
    #[error("'to' needs a place on each side, as in V2.6 to B1")]
    LeadsIncomplete,
    /// More or fewer first places than sections.
    #[error(
        "{0} places stand before 'to', but the part has {1} sections; give one, or one for each"
    )]
    LeadCount(usize, usize),
    /// A word that cannot be a place.
    #[error(
        "'{0}' is no place; expected a pin such as V2.6, a terminal such as T1.3, or a name such as B1"
    )]
    Place(String),
    /// Words that are no one place.
    #[error(
        "'{0}' was not read as one place, so this connection is left out; expected a pin such as V2.6 or V2 plate, a terminal such as T1.3, or a name such as B1"
    )]
    PlacePhrase(String),
    /// An electrode of no tube.
    #[error(
        "'{0}' of which tube? This connection is left out; expected a pin such as V2.6 or V2 plate"
    )]
    BareElectrode(String),
    /// A pin number of no part.
    #[error(
        "'{0}' is the pin of which part? This connection is left out; expected one such as V2.6"
    )]
    BarePin(String),
    /// A tube or transformer without its pin or terminal.
    #[error("'{0}' is a whole part; expected one of its pins or terminals, such as {0}.3")]
    BarePart(String),
    /// An electrode that several pins carry.
    #[error("{0}: pins {1} carry it, so this connection is left out; write the number")]
    SeveralPins(String, String),
    /// A pin that the base does not have.
    #[error("{0}: this base has no pin {1}, so this connection is left out")]
    NoPin(String, u8),
    /// An electrode that the tube does not have.
    #[error(
        "{0}: this tube has no such electrode, so this connection is left out; write the pin's number"
    )]
    NoElectrode(String),
    /// `common` in a set where that may be the chassis or the negative supply.
    #[error(
        "'{0}' can be the chassis or B- in this set, so this connection is left out; say which"
    )]
    Common(String),
    /// `common` where it can be the chassis alone.
    #[error("'{0}' is read as the chassis")]
    CommonRead(String),
    /// Places on a transformer without the name of their winding.
    #[error("'{0}': of which winding? Expected primary, secondary, heater or rectifier before it")]
    NoWinding(String),
    /// A winding that is tapped, without the place of its tap.
    #[error("this winding has a tap, but not where it goes; add 'tap 4' or 'CT to chassis'")]
    TapUnsaid,
    /// A tap that cannot be read.
    #[error("the tap was not read and is left out; expected a terminal or place, as in tap 4")]
    Tap,
    /// A pin tie that cannot be read.
    #[error("'{0}' ties no pin; expected pin=place such as 6=scr or g2=B2")]
    PinTie(String),
    /// A tube without its type.
    #[error("{0} has no tube type; expected one such as 6V6GT after the designator")]
    TubeType(String),
    /// A winding that cannot be read.
    #[error("the {0} winding is incomplete; expected two terminals, as in {0} 1 to 2")]
    Winding(&'static str),
    /// An area without its name.
    #[error("'{0}' needs a name after it, in quotation marks where it has spaces")]
    AreaName(String),
    /// A code with an unknown tolerance letter.
    #[error("'{0}' looks like a coded value, but '{1}' is no tolerance letter of IEC 60062")]
    ToleranceLetter(String, char),
    /// Tolerance that cannot be.
    #[error("'{0}' is no tolerance; expected 0 to 300 %, as in ±10 % or -10 +50 %")]
    Tolerance(String),
    /// A name that stands twice.
    #[error("{0} stands on line {1} already; rename this one or delete it")]
    Duplicate(String, usize),
    /// A directive without what it needs.
    #[error("'{0}' needs more after it: {1}")]
    DirectiveEmpty(&'static str, &'static str),
    /// A word that a directive does not know.
    #[error("'{1}' is not understood after '{0}'; expected {2}")]
    DirectiveWord(&'static str, String, &'static str),
    /// A directive given twice.
    #[error("a second '{0}' line; the first one counts")]
    SecondDirective(&'static str),
    /// An area line without its colon.
    #[error("expected 'area NAME: C7 R3'; the ':' after the name is missing")]
    AreaColon,
    /// An area that lists what is no designator.
    #[error(
        "'{0}' is no designator; expected names of parts such as C7, or after, off:, mark:, readjust:"
    )]
    AreaPart(String),
    /// A clause of an area line without anything in it.
    #[error("'{0}' needs what it is about after it, parted by commas")]
    AreaClause(&'static str),
    /// An area that is to be open before, and is not on the sheet.
    #[error("no area is called '{0}'; write a line 'area {0}:' for it")]
    AreaUnknown(String),
    /// An area that would have to be open before itself.
    #[error("'{0}' would have to be open before itself; this one is left out")]
    AreaCircle(String),
    /// A sheet past the most areas.
    #[error("this sheet has more than {0} areas; this one was left unread")]
    TooManyAreas(usize),
    /// A part in two areas.
    #[error("{0} stands in the area '{1}' already; the first one counts")]
    AreaTwice(String, String),
    /// A part of an area that is not on the sheet.
    #[error("{0} is no part of this sheet")]
    AreaStranger(String),
    /// A sheet past the most lines that are read.
    #[error("this sheet has more than {0} lines; the rest was left unread")]
    TooManyLines(usize),

    /// A bare number on a capacitor.
    #[error("'{0}' has no unit; read as {1} by the trade's habit")]
    BareCapacitance(String, String),
    /// A bare number after the value, where a rating stands.
    #[error("'{0}' has no unit; read as the rating {1}")]
    BareRating(String, String),
    /// A winding that is told by its volts alone, beside a higher one.
    #[error("'{0}' is taken as a heater winding; say where it ends, as in 'heater 8 to 9 6.3 V'")]
    LowWinding(String),
    /// A bare small whole number on a capacitor.
    #[error("'{0}' has no unit and could be µF or pF; read as {1}")]
    BareEither(String, String),
    /// A capacitor on the line, its side not said.
    #[error(
        "'{0}' can be across the line (class X) or from the line to chassis (class Y); no part is named until you say which"
    )]
    LineSide(String),
    /// A value and rating of which one could be the other.
    #[error("'{0}' has no unit and can be the value or the rating; neither is taken")]
    ValueOrRating(String),
    /// Numbers of a capacitor that leave its ratings open.
    #[error(
        "the ratings of this line are left open, for '{0}' was not read; write value and volts of each section, as in 40-20 mfd 150 V 20 mfd 25 V"
    )]
    RatingsOpen(String),
    /// Two ratings for one section.
    #[error("'{0}' is a second rating, so the rating is left open; delete the wrong one")]
    TwoRatings(String),
    /// Values that do not match the parts named.
    #[error("{0} values stand on a line of {1} parts, so none is taken; give one for each")]
    ValueCount(usize, usize),
    /// A stroke that can part value and rating, or two sections.
    #[error("'{0}' is read as value and rating: {1}")]
    ValueStrokeRating(String, String),
    /// Joined numbers of which none is surely the rating.
    #[error(
        "'{0}' was not read; write value and volts of each section, as in 40-20 mfd 150 V 20 mfd 25 V"
    )]
    Sections(String),
    /// `20x20`: sections alike, or a product.
    #[error("'{0}' is no value; expected sections such as {1}")]
    Times(String, String),
    /// A number that lost its point.
    #[error("'{0}' seems to have lost its point; read as {1}")]
    LostPoint(String, String),
    /// A three-digit code.
    #[error("'{0}' is read as a three-digit code: {1}")]
    Code(String, String),
    /// Three digits read plain that could be a code.
    #[error("'{0}' has no unit; read as {1}, not as a three-digit code")]
    NotCode(String, String),
    /// `K` on a capacitor.
    #[error("'{0}': K is read as thousand picofarads: {1}")]
    KiloPico(String, String),
    /// `M` on a resistor.
    #[error("'{0}': M can be thousand or million; read as {1}")]
    BareM(String, String),
    /// `w` on a resistor that is too much for watts.
    #[error("'{0}': read as {1}, an old way to write ohms")]
    WattOrOhm(String, String),
    /// A comma or point with two meanings.
    #[error("'{0}': the mark in the number can part thousands or decimals; read as {1}")]
    Mark(String, String),
    /// A hyphen with two meanings.
    #[error("'{0}' is read as value and rating: {1}")]
    ValueHyphenRating(String, String),
    /// Tolerance letter on a plain value.
    #[error("'{0}': the letter is read as the tolerance {1}")]
    ToleranceRead(String, String),
}

/// The article before a word.
fn article(word: &str) -> &'static str {
    if word.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" }
}
