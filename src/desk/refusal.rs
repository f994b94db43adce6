//! What lies under every refusal: the view or the record that failed, else the act's own.

use thiserror::Error;

use super::class::Refusal;
use super::home::HomeError;
use super::lookup::NotFound;
use crate::record::{RecordError, ViewError};

/// Why there is no answer: the one failure under all of them.
#[derive(Debug, Error)]
pub enum Refused<E> {
    /// The view failed; a new one may answer.
    #[error(transparent)]
    View(ViewError),
    /// There is no record to speak of.
    #[error(transparent)]
    Record(RecordError),
    /// What the act itself refuses.
    #[error(transparent)]
    Act(E),
}

impl<E> Refused<E> {
    /// Whether the view itself failed, so that asking a new one may help.
    pub fn is_view(&self) -> bool {
        matches!(self, Self::View(_))
    }

    /// The refusal of one act as that of another.
    pub fn map<B>(self, to: impl FnOnce(E) -> B) -> Refused<B> {
        match self {
            Self::View(e) => Refused::View(e),
            Self::Record(e) => Refused::Record(e),
            Self::Act(e) => Refused::Act(to(e)),
        }
    }

    /// The refusal of one act as that of another which knows it.
    pub fn lift<B: From<E>>(self) -> Refused<B> {
        self.map(B::from)
    }
}

impl<E> From<ViewError> for Refused<E> {
    fn from(e: ViewError) -> Self {
        Self::View(e)
    }
}

impl<E> From<RecordError> for Refused<E> {
    fn from(e: RecordError) -> Self {
        Self::Record(e)
    }
}

// So that '?' and 'into' do in every act. `NotFound` and `HomeError` may carry a view or a record that fails: they are
// no `Refusal` themselves and are taken apart below.
impl<E: Refusal> From<E> for Refused<E> {
    fn from(e: E) -> Self {
        Self::Act(e)
    }
}

impl<E: From<NotFound>> From<NotFound> for Refused<E> {
    fn from(e: NotFound) -> Self {
        match e {
            NotFound::View(e) => Self::View(e),
            other => Self::Act(other.into()),
        }
    }
}

impl<E: From<HomeError>> From<HomeError> for Refused<E> {
    fn from(e: HomeError) -> Self {
        match e {
            HomeError::Record(e) => Self::Record(e),
            other => Self::Act(other.into()),
        }
    }
}
