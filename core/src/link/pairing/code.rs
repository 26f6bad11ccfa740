//! Code: six digits that let one device in, once.

use std::time::{Duration, Instant};

use super::Guest;
use crate::stamp::{NoChance, Stamps};

/// How many wrong tries end a code.
pub const MOST_TRIES: u8 = 3;

/// Six digits. Not printed by `{:?}`: it is for a screen, not for a log.
#[derive(Clone, PartialEq, Eq)]
pub struct Code([u8; 6]);

impl Code {
    /// Draws a code; every one of the million is as likely as another.
    ///
    /// # Errors
    /// [`NoChance`].
    pub fn draw(stamps: &dyn Stamps) -> Result<Self, NoChance> {
        const CODES: u32 = 1_000_000;
        // What lies above the last whole million would make low codes likelier.
        const BOUND: u32 = u32::MAX - u32::MAX % CODES;
        loop {
            let mut chance = [0; 4];
            stamps.chance(&mut chance)?;
            let drawn = u32::from_be_bytes(chance);
            if drawn < BOUND {
                return Ok(Self::of(drawn % CODES));
            }
        }
    }

    fn of(mut number: u32) -> Self {
        let mut digits = [b'0'; 6];
        for digit in digits.iter_mut().rev() {
            *digit += u8::try_from(number % 10).unwrap_or(0);
            number /= 10;
        }
        Self(digits)
    }

    /// Reads a code as it was typed; blanks and hyphens between the digits do no harm.
    /// `None` for anything that is not six digits.
    pub fn typed(text: &str) -> Option<Self> {
        let digits: Vec<u8> = text
            .bytes()
            .filter(|byte| !matches!(byte, b' ' | b'-'))
            .collect();
        let digits: [u8; 6] = digits.try_into().ok()?;
        digits
            .iter()
            .all(u8::is_ascii_digit)
            .then_some(Self(digits))
    }

    pub(super) const fn bytes(&self) -> &[u8; 6] {
        &self.0
    }
}

impl std::fmt::Display for Code {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0
            .iter()
            .try_for_each(|digit| write!(f, "{}", char::from(*digit)))
    }
}

impl std::fmt::Debug for Code {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Code(..)")
    }
}

/// Why a code is no longer good.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PairingEnd {
    /// A device has joined with it.
    Used,
    /// Three wrong tries.
    TooManyTries,
    /// Its two minutes are over.
    TimedOut,
    /// It was taken back, or another was shown in its place.
    Hidden,
}

/// A code that is being shown.
#[derive(Debug)]
pub struct Showing {
    code: Code,
    guest: Guest,
    ends: Instant,
    /// Tries that are neither lost nor under way.
    left: u8,
    under_way: u8,
    over: Option<PairingEnd>,
}

/// A try that has begun: it is lost unless it is given back.
#[derive(Debug)]
pub struct Try {
    /// The code it must match.
    pub code: Code,
}

impl Showing {
    /// Shows a code from now on.
    pub fn new(code: Code, guest: Guest, now: Instant, life: Duration) -> Self {
        Self {
            code,
            guest,
            ends: now + life,
            left: MOST_TRIES,
            under_way: 0,
            over: None,
        }
    }

    /// Begins a try. A device that opens many at once gains nothing: each takes one of
    /// the three with it while it is under way.
    ///
    /// # Errors
    /// `None` inside when all tries are under way; else why the code is no longer good.
    pub fn begin(&mut self, now: Instant) -> Result<Try, Option<PairingEnd>> {
        if let Some(end) = self.ended(now) {
            return Err(Some(end));
        }
        self.left = self.left.checked_sub(1).ok_or(None)?;
        self.under_way += 1;
        Ok(Try {
            code: self.code.clone(),
        })
    }

    /// The try broke off before anything was proved: nothing was learnt, and it is back.
    pub fn give_back(&mut self, _try: Try) {
        self.under_way = self.under_way.saturating_sub(1);
        self.left += 1;
    }

    /// The try was wrong; how many are left.
    pub fn wrong(&mut self, _try: Try) -> u8 {
        self.under_way = self.under_way.saturating_sub(1);
        let left = self.left + self.under_way;
        if left == 0 && self.over.is_none() {
            self.over = Some(PairingEnd::TooManyTries);
        }
        left
    }

    /// The try was right: the code is used up. Of two that were right at the same moment,
    /// or one that came too late, the second is told so.
    ///
    /// # Errors
    /// Why the code was no longer good.
    pub fn right(&mut self, _try: Try, now: Instant) -> Result<(), PairingEnd> {
        self.under_way = self.under_way.saturating_sub(1);
        if let Some(end) = self.ended(now) {
            return Err(end);
        }
        self.over = Some(PairingEnd::Used);
        Ok(())
    }

    /// Takes the code back; whether it was still good.
    pub fn hide(&mut self, now: Instant) -> bool {
        let good = self.ended(now).is_none();
        if good {
            self.over = Some(PairingEnd::Hidden);
        }
        good
    }

    /// Why the code is no longer good; `None` while it is.
    pub fn ended(&mut self, now: Instant) -> Option<PairingEnd> {
        if self.over.is_none() && now >= self.ends {
            self.over = Some(PairingEnd::TimedOut);
        }
        self.over
    }

    /// For whom it is shown.
    pub const fn guest(&self) -> Guest {
        self.guest
    }

    /// Until when it is good at the most.
    pub const fn ends(&self) -> Instant {
        self.ends
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stamp::DeviceStamps;

    fn showing() -> (Showing, Instant) {
        let now = Instant::now();
        let code = Code::typed("012345").unwrap();
        let guest = Guest {
            staff: crate::course::StaffId::new(uuid::Uuid::nil()),
            role: crate::course::Role::Assistant,
            until: None,
        };
        (
            Showing::new(code, guest, now, Duration::from_secs(120)),
            now,
        )
    }

    #[test]
    fn a_code_is_six_digits_and_is_not_printed_for_a_log() {
        let code = Code::draw(&DeviceStamps).unwrap();
        let text = code.to_string();
        assert_eq!(text.len(), 6);
        assert!(text.bytes().all(|byte| byte.is_ascii_digit()));
        assert!(!format!("{code:?}").contains(&text));
        assert_eq!(Code::of(42).to_string(), "000042");
        assert_eq!(Code::of(999_999).to_string(), "999999");
    }

    #[test]
    fn a_typed_code_may_have_blanks_and_hyphens_and_nothing_else() {
        let code = Code::typed("012345");
        assert!(code.is_some());
        assert_eq!(Code::typed(" 012-345"), code);
        for bad in ["", "12345", "1234567", "12345a", "１２３４５６"] {
            assert_eq!(Code::typed(bad), None, "{bad:?}");
        }
    }

    #[test]
    fn three_wrong_tries_end_a_code() {
        let (mut showing, now) = showing();
        for left in [2, 1, 0] {
            let attempt = showing.begin(now).unwrap();
            assert_eq!(showing.wrong(attempt), left);
        }
        assert_eq!(
            showing.begin(now).err(),
            Some(Some(PairingEnd::TooManyTries))
        );
    }

    #[test]
    fn a_code_is_used_once_even_by_two_at_the_same_moment() {
        let (mut showing, now) = showing();
        let (first, second) = (showing.begin(now).unwrap(), showing.begin(now).unwrap());
        assert_eq!(showing.right(first, now), Ok(()));
        assert_eq!(showing.right(second, now), Err(PairingEnd::Used));
        assert_eq!(showing.begin(now).err(), Some(Some(PairingEnd::Used)));
    }

    #[test]
    fn a_code_lives_two_minutes_and_a_try_that_ends_later_is_too_late() {
        let (mut showing, now) = showing();
        let attempt = showing.begin(now + Duration::from_secs(119)).unwrap();
        let late = now + Duration::from_secs(120);
        assert_eq!(showing.right(attempt, late), Err(PairingEnd::TimedOut));
        assert_eq!(showing.begin(late).err(), Some(Some(PairingEnd::TimedOut)));
    }

    #[test]
    fn many_tries_at_once_are_still_three_and_a_broken_one_comes_back() {
        let (mut showing, now) = showing();
        let tries: Vec<Try> = (0..3).map(|_| showing.begin(now).unwrap()).collect();
        assert_eq!(showing.begin(now).err(), Some(None), "all are under way");
        for attempt in tries {
            showing.give_back(attempt);
        }
        let attempt = showing.begin(now).unwrap();
        assert_eq!(showing.wrong(attempt), 2);
    }
}
