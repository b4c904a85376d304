//! A rating covers the old mark, every solved state, and the no-load peak across that capacitor.
