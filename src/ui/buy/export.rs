//! The basket as text to paste and as CSV.

use super::basket::{OrderView, UnservedView};
use super::model::cell;
use std::fmt::Write as _;

/// The basket as text to paste.
pub fn as_text(
    title: &str,
    orders: &[OrderView],
    unserved: &[UnservedView],
    summary: &str,
) -> String {
    let mut text = format!("{title}\n{summary}\n");
    for order in orders {
        // Writing to a String does not fail.
        let _ = write!(text, "\n{}: {}\n", order.seller, order.total);
        for line in &order.lines {
            let _ = writeln!(
                text,
                "  {} x {}  {}  for {}",
                line.pieces, line.what, line.cost, line.parts
            );
        }
        if !order.sums.is_empty() {
            let _ = writeln!(text, "  {}", order.sums);
        }
    }
    if !unserved.is_empty() {
        text.push_str("\nNot on the list:\n");
    }
    for need in unserved {
        let _ = writeln!(text, "  {}: {}", need.parts, need.wanted);
    }
    text
}

/// The basket as CSV, with a header row.
pub fn as_csv(orders: &[OrderView], unserved: &[UnservedView]) -> String {
    let mut rows: Vec<[String; 6]> = Vec::new();
    for order in orders {
        for line in &order.lines {
            rows.push([
                order.seller.clone(),
                line.what.clone(),
                line.pieces.to_string(),
                line.how.clone(),
                line.cost.clone(),
                line.parts.clone(),
            ]);
        }
    }
    for need in unserved {
        let none = String::new;
        rows.push([
            String::new(),
            need.wanted.clone(),
            none(),
            "not on the list".to_owned(),
            none(),
            need.parts.clone(),
        ]);
    }
    let mut text = "Seller,Part,Pieces,Price,Cost,For\r\n".to_owned();
    for row in rows {
        let row: Vec<String> = row.iter().map(|text| cell(text)).collect();
        text.push_str(&row.join(","));
        text.push_str("\r\n");
    }
    text
}
