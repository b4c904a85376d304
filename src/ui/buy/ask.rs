//! What the screens of buying follow: needs, prices, the basket.

use super::basket::{aim, sign};
use super::question::{Question, SetNeeds, SetText, ask, needs_of, texts};
use crate::bench::set::SetId;
use crate::bench::stock::{Buying, StockLine};
use crate::buying::list::{PriceList, read_with};
use crate::buying::money::Sign;
use crate::buying::need::Need;
use crate::ui::state::{App, Undo};
use crate::ui::view::prelude::*;
use std::sync::Arc;

/// What is followed; each piece is worked out only when what it reads changes.
#[derive(Clone, Copy)]
pub struct Asked {
    /// The needs of the sets asked about.
    pub question: Memo<Question>,
    /// Those still open.
    pub open: Memo<Arc<Vec<Need>>>,
    /// The price list.
    pub list: Memo<Arc<PriceList>>,
    /// The sign of the currency.
    pub sign: Memo<Sign>,
}

impl Asked {
    /// Follows one set, or all on the bench where `only` gives none.
    pub fn about(app: App, only: impl Fn() -> Option<SetId> + Send + Sync + 'static) -> Self {
        let texts: Memo<Vec<SetText>> =
            Memo::new(move |_| app.bench.with(|bench| texts(bench, only())));
        let needs: Memo<Vec<SetNeeds>> = Memo::new(move |_| needs_of(&texts.read()));
        let question = Memo::new(move |_| app.bench.with(|bench| ask(&needs.read(), bench)));
        let open = Memo::new(move |_| Arc::new(question.read().open_needs()));
        let prices = Memo::new(move |_| app.bench.with(|b| b.buying.prices.clone()));
        let sign = Memo::new(move |_| app.bench.with(|b| sign(&b.buying)));
        let list = Memo::new(move |_| Arc::new(read_with(&prices.read(), &sign.read())));
        Self { question, open, list, sign }
    }
}

/// What is kept of buying, whole.
pub fn kept(app: App) -> Memo<Buying> {
    Memo::new(move |_| app.bench.with(|b| b.buying.clone()))
}

/// The aim, or why it is none.
pub fn aimed(app: App) -> Memo<Result<crate::buying::basket::Aim, &'static str>> {
    Memo::new(move |_| app.bench.with(|b| aim(&b.buying)))
}

/// Changes the drawers, and offers to take that back.
pub fn change_stock(app: App, words: String, change: impl FnOnce(&mut crate::bench::Bench)) {
    let before: Vec<StockLine> = app.bench.with_untracked(|b| b.buying.stock.clone());
    app.change(change);
    app.stock_before.set_value(before);
    app.say(words, Some(Undo::Stock));
}
