//! What is measured of the engine, one folder or file for each question.

/// Sums of figures over recordings, field by field: numbers are added, lists joined.
macro_rules! summed {
    ($name:ident { $($added:ident),* } joined { $($joined:ident),* }) => {
        impl std::ops::AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                $(self.$added += other.$added;)*
                $(self.$joined.extend(other.$joined);)*
            }
        }

        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
                all.fold(Self::default(), |mut sum, one| {
                    sum += one;
                    sum
                })
            }
        }
    };
}

pub mod breath_events;
pub mod breathing;
pub mod detector;
pub mod hard_voices;
pub mod levelling;
pub mod moving_edge;
pub mod properties;
