//! A table of words: a head to each row and column; on a phone each cell names
//! its column.

use crate::ui::view::prelude::*;

/// A row of a [`WordTable`]: its head, then a cell for each further column.
pub type WordRow = Vec<String>;

/// A table of words.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct WordTable {
    /// Its name in `data-table`.
    pub name: &'static str,
    /// A class beside the usual one, or nothing.
    pub class: &'static str,
    /// What it holds, for readers that do not see it.
    pub caption: &'static str,
    /// Its columns, the first for the heads of rows.
    pub columns: Vec<String>,
    /// Its rows.
    pub rows: Vec<WordRow>,
}

impl WordTable {
    /// The table on the page.
    pub fn view(self) -> AnyView {
        let Self { name, class, caption, columns, rows } = self;
        let rows = rows.into_iter().map(|row| row_view(&columns, row)).collect_view();
        let heads =
            columns.iter().map(|c| view! { <th scope="col">{c.clone()}</th> }).collect_view();
        view! {
            <table class=format!("table table--record {class}") data-table=name>
                <caption class="unseen">{caption}</caption>
                <thead>
                    <tr>{heads}</tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
        }
        .into_any()
    }
}

fn row_view(columns: &[String], row: WordRow) -> AnyView {
    let mut cells = columns.iter().zip(row);
    let (label, head) = cells.next().map(|(c, words)| (c.clone(), words)).unwrap_or_default();
    let cells = cells
        .map(|(column, words)| view! { <td data-label=column.clone()>{words}</td> })
        .collect_view();
    view! {
        <tr data-row=head.clone()>
            <th scope="row" data-label=label>{head}</th>
            {cells}
        </tr>
    }
    .into_any()
}
