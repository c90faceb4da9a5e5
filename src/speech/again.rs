//! Is a message the wish to have the last voice note heard again?

/// The ways to say it, in plain words.
const WISHES: [&str; 12] = [
    "hear it again",
    "hear that again",
    "hear again",
    "hear me again",
    "hear the note again",
    "hear that note again",
    "hear the voice note again",
    "hear the last note again",
    "listen again",
    "listen to it again",
    "listen to that again",
    "listen to the note again",
];

/// Whether a message says so, and nothing else.
pub fn asks_to_hear_again(text: &str) -> bool {
    let plain: String = text
        .to_lowercase()
        .chars()
        .map(|letter| if letter.is_alphanumeric() { letter } else { ' ' })
        .collect();
    let words: Vec<&str> = plain.split_whitespace().filter(|word| *word != "please").collect();
    WISHES.contains(&words.join(" ").as_str())
}

#[cfg(test)]
mod tests {
    use super::asks_to_hear_again;

    #[test]
    fn only_the_wish_alone_counts() {
        assert!(asks_to_hear_again("Hear it again, please!"));
        assert!(asks_to_hear_again("listen to that again"));
        assert!(!asks_to_hear_again("note they want to hear it again"));
        assert!(!asks_to_hear_again("here again"));
        assert!(!asks_to_hear_again(""));
    }
}
