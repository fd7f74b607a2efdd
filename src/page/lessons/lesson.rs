//! A lesson, its figures in its words.

use serde::Serialize;

/// A lesson that has been held against its welds: the figures stand in its words.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lesson {
    /// Heading above it.
    pub title: String,
    /// What is set up, in a sentence or two.
    pub say: String,
    /// The weld it begins with, as overrides of the demonstration case; it is pinned as the base.
    pub base: Vec<String>,
    /// What is changed to answer the question, as overrides.
    pub change: Vec<String>,
    /// Names of the faults put on to answer it.
    pub faults: Vec<String>,
    /// The question.
    pub question: String,
    /// What a class may say.
    pub choices: Vec<Choice>,
    /// The answer.
    pub answer: String,
    /// Where to look, or what to try next.
    pub look: String,
    /// Event at which the replay stands once it has played.
    pub at: String,
    /// Key of the control shown beside the answer, as the page has it; none where nothing is to be tried.
    pub control: Option<String>,
}

/// What a class may say to a question.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Choice {
    /// The words.
    pub say: String,
    /// Whether it is the right one; one of each lesson is.
    pub right: bool,
    /// Why it is right or wrong.
    pub reason: String,
}
