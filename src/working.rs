//! How a value was worked out, as an expression that can be evaluated: what is shown cannot drift from what was found.

use crate::fact::Fact;
use jiff::civil::Date;

/// The lines of a working; the value is that of the last one.
#[derive(Debug, Clone, PartialEq)]
pub struct Working {
    lines: Vec<Line>,
}

/// One line: an expression, and what it comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What is worked out.
    pub expression: Expression,
    /// The result as shown; none where the expression shows it itself.
    pub result: Option<Fact>,
}

/// An expression over numbers as shown.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Expression {
    /// A number, in SI units or as a ratio, beside how it is shown.
    Number {
        /// Its value.
        value: f64,
        /// How it is shown.
        shown: Fact,
    },
    /// Two numbers and what is done with them.
    Operation(Box<Expression>, Operator, Box<Expression>),
    /// The square root of a number.
    Root(Box<Expression>),
    /// From one day to another, in seconds; nothing where the other is earlier.
    Days {
        /// The first.
        from: Date,
        /// The last.
        to: Date,
    },
    /// As many as are listed, and so many more.
    Listed {
        /// Those that are named.
        named: Vec<Fact>,
        /// How many more there are.
        more: usize,
    },
}

/// What is done with two numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Operator {
    /// The sum.
    Plus,
    /// The difference.
    Minus,
    /// The product.
    Times,
    /// The quotient.
    Over,
}

impl Operator {
    /// The sign of it.
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Plus => "+",
            Self::Minus => "-",
            Self::Times => "x",
            Self::Over => "/",
        }
    }

    /// Whether it binds its numbers closer than a sum.
    const fn is_of_product(self) -> bool {
        matches!(self, Self::Times | Self::Over)
    }

    fn apply(self, left: f64, right: f64) -> f64 {
        match self {
            Self::Plus => left + right,
            Self::Minus => left - right,
            Self::Times => left * right,
            Self::Over => left / right,
        }
    }
}

impl Expression {
    /// A number beside how it is shown.
    pub const fn number(value: f64, shown: Fact) -> Self {
        Self::Number { value, shown }
    }

    /// A whole number that is shown as it is.
    pub fn whole(value: u32) -> Self {
        let value = f64::from(value);
        Self::number(value, Fact::number(value, 0))
    }

    /// The sum.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        self.with(Operator::Plus, other)
    }

    /// The difference.
    #[must_use]
    pub fn minus(self, other: Self) -> Self {
        self.with(Operator::Minus, other)
    }

    /// The product.
    #[must_use]
    pub fn times(self, other: Self) -> Self {
        self.with(Operator::Times, other)
    }

    /// The quotient.
    #[must_use]
    pub fn over(self, other: Self) -> Self {
        self.with(Operator::Over, other)
    }

    /// The square root.
    #[must_use]
    pub fn root(self) -> Self {
        Self::Root(Box::new(self))
    }

    /// How far it is off another, relative to that.
    #[must_use]
    pub fn off(self, reference: Self) -> Self {
        self.over(reference).minus(Self::whole(1))
    }

    /// The same with more said of the number: `620` as `620 before`.
    #[must_use]
    pub fn shown_as(self, more: impl FnOnce(Fact) -> Fact) -> Self {
        match self {
            Self::Number { value, shown } => Self::number(value, more(shown)),
            Self::Operation(..) | Self::Root(_) | Self::Days { .. } | Self::Listed { .. } => self,
        }
    }

    fn with(self, operator: Operator, other: Self) -> Self {
        Self::Operation(Box::new(self), operator, Box::new(other))
    }

    /// Whether it stands in parentheses on one side of an operator.
    pub fn needs_parentheses(&self, beside: Operator, is_right: bool) -> bool {
        let Self::Operation(_, own, _) = self else {
            return false;
        };
        match (own.is_of_product(), beside.is_of_product()) {
            (false, true) => true,
            (true, false) => false,
            (true, true) | (false, false) => is_right,
        }
    }

    /// What it comes to, in SI units or as a ratio.
    pub fn evaluate(&self) -> f64 {
        const SECONDS_A_DAY: f64 = 86_400.0;
        match self {
            Self::Number { value, .. } => *value,
            Self::Operation(left, operator, right) => {
                operator.apply(left.evaluate(), right.evaluate())
            }
            Self::Root(of) => of.evaluate().sqrt(),
            Self::Days { from, to } => {
                let days = to.since(*from).map_or(0, |span| span.get_days());
                f64::from(days.max(0)) * SECONDS_A_DAY
            }
            Self::Listed { named, more } => {
                u32::try_from(named.len() + more).map_or(f64::INFINITY, f64::from)
            }
        }
    }
}

impl Working {
    /// A working of one line with its result.
    pub fn of(expression: Expression, result: Fact) -> Self {
        Self {
            lines: vec![Line {
                expression,
                result: Some(result),
            }],
        }
    }

    /// A working of one line that comes to a deviation: `+11.62%`.
    pub fn deviation(expression: Expression) -> Self {
        let result = Fact::deviation(expression.evaluate());
        Self::of(expression, result)
    }

    /// A working of one line that shows its result itself.
    pub fn shown(expression: Expression) -> Self {
        Self {
            lines: vec![Line {
                expression,
                result: None,
            }],
        }
    }

    /// The same, with one more line behind it.
    #[must_use]
    pub fn then(mut self, expression: Expression, result: Fact) -> Self {
        self.lines.push(Line {
            expression,
            result: Some(result),
        });
        self
    }

    /// The same, with one more line behind it that shows its result itself.
    #[must_use]
    pub fn then_shown(mut self, expression: Expression) -> Self {
        self.lines.push(Line {
            expression,
            result: None,
        });
        self
    }

    /// Its lines, first to last.
    pub fn lines(&self) -> &[Line] {
        &self.lines
    }

    /// What it comes to: the value of the figure, in SI units or as a ratio.
    pub fn evaluate(&self) -> f64 {
        let last = self.lines.last();
        last.map_or(f64::NAN, |line| line.expression.evaluate())
    }
}
