//! No reading is asked for where a hand or a meter does not belong.
