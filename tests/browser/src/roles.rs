//! The roles that tests look for, and where to look.

/// What an element is to a person who cannot see it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
#[allow(missing_docs, reason = "the names are those of WAI-ARIA")]
pub enum Role {
    Alert,
    Button,
    Checkbox,
    Combobox,
    Dialog,
    Form,
    Group,
    Heading,
    Img,
    Link,
    List,
    Main,
    Menuitem,
    Navigation,
    Radio,
    Region,
    Row,
    Rowheader,
    Status,
    Tab,
    Table,
    Tabpanel,
    Textbox,
}

impl Role {
    /// Finds the elements that may have the role; their names decide.
    pub(crate) fn selector(self) -> &'static str {
        match self {
            Self::Alert => "[role=alert]",
            Self::Button => "button:not([role]), summary, input[type=button], [role=button]",
            Self::Checkbox => "input[type=checkbox], [role=checkbox]",
            Self::Combobox => "select, input[list], [role=combobox]",
            Self::Dialog => "dialog, [role=dialog], [role=alertdialog]",
            Self::Form => "form, [role=form]",
            Self::Group => "fieldset, details, [role=group]",
            Self::Heading => "h1, h2, h3, h4, h5, h6, [role=heading]",
            Self::Img => "img, [role=img]",
            Self::Link => "a[href]:not([role]), [role=link]",
            Self::List => "ul, ol, [role=list]",
            Self::Main => "main, [role=main]",
            Self::Menuitem => "[role=menuitem]",
            Self::Navigation => "nav, [role=navigation]",
            Self::Radio => "input[type=radio], [role=radio]",
            Self::Region => "section, [role=region]",
            Self::Row => "tr, [role=row]",
            Self::Rowheader => "th[scope=row], [role=rowheader]",
            Self::Status => "output, [role=status]",
            Self::Tab => "[role=tab]",
            Self::Table => "table, [role=table]",
            Self::Tabpanel => "[role=tabpanel]",
            Self::Textbox => {
                "textarea, input:not([type]), input[type=text], input[type=search], [role=textbox]"
            }
        }
    }
}
