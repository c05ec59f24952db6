//! The `d` of an SVG path, in tenths: finer than a screen shows, and without the weight of formatted floats.

/// A path being drawn.
#[derive(Clone, Debug, Default)]
pub struct Path(String);

impl Path {
    /// One command with its numbers; what is not finite is drawn at 0.
    pub fn to(&mut self, command: char, numbers: &[f64]) {
        self.0.push(command);
        for (place, number) in numbers.iter().enumerate() {
            let tenths = (number * 10.0).round() as i64;
            if place > 0 {
                self.0.push(' ');
            }
            if tenths < 0 {
                self.0.push('-');
            }
            self.0.push_str(&(tenths.abs() / 10).to_string());
            if tenths % 10 != 0 {
                self.0.push('.');
                self.0.push_str(&(tenths.abs() % 10).to_string());
            }
        }
    }

    /// An upright block.
    pub fn block(&mut self, left: f64, bottom: f64, right: f64, top: f64) {
        self.to('M', &[left, bottom]);
        self.to('V', &[top]);
        self.to('H', &[right]);
        self.to('V', &[bottom]);
        self.to('Z', &[]);
    }

    /// As it stands in markup.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_in_tenths() {
        let mut path = Path::default();
        path.to('M', &[0.0, 12.34]);
        path.to('L', &[-0.06, f64::NAN]);
        path.block(1.0, 28.0, 2.55, 6.0);
        assert_eq!(path.as_str(), "M0 12.3L-0.1 0M1 28V6H2.6V28Z");
    }
}
