//! Where the way out stands on the page: at the lower edge of what is in view,
//! the keyboard open or not, the page pinched larger or not.

/// What is in view of the page, in CSS pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InView {
    /// From the left of the page as it is laid out.
    pub left: f64,
    /// From its top.
    pub top: f64,
    /// Across.
    pub width: f64,
    /// Down.
    pub height: f64,
}

/// Where the dock stands, in CSS pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// From the left of the page as it is laid out.
    pub left: f64,
    /// Across.
    pub width: f64,
    /// Up from its lower edge.
    pub bottom: f64,
}

/// Where the dock stands on a page of such a height with that in view.
pub fn place(height: f64, seen: InView) -> Place {
    let covered = height - (seen.top + seen.height);
    Place { left: seen.left.max(0.0), width: seen.width, bottom: covered.max(0.0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    const WHOLE: InView = InView { left: 0.0, top: 0.0, width: 390.0, height: 844.0 };

    #[test]
    fn without_a_keyboard_it_stands_at_the_lower_edge() {
        assert_eq!(place(844.0, WHOLE), Place { left: 0.0, width: 390.0, bottom: 0.0 });
    }

    #[test]
    fn a_keyboard_lifts_it_by_its_own_height() {
        let seen = InView { height: 500.0, ..WHOLE };
        let at = |bottom| Place { left: 0.0, width: 390.0, bottom };
        assert_eq!(place(844.0, seen), at(344.0));
        // Scrolled within the page as it is laid out.
        assert_eq!(place(844.0, InView { top: 100.0, ..seen }), at(244.0));
    }

    #[test]
    fn a_page_pinched_larger_has_it_in_the_part_that_is_seen() {
        let seen = InView { left: 120.0, top: 300.0, width: 195.0, height: 422.0 };
        assert_eq!(place(844.0, seen), Place { left: 120.0, width: 195.0, bottom: 122.0 });
        // A bounce past the end is no reason to leave the page.
        let bounced = place(844.0, InView { top: 500.0, left: -3.0, ..seen });
        assert_eq!(bounced, Place { left: 0.0, width: 195.0, bottom: 0.0 });
    }
}
