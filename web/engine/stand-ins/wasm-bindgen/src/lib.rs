//! A value of a browser, without a browser.

/// A value that nobody looks at.
pub struct JsValue;

impl JsValue {
    /// Of a text.
    #[expect(clippy::should_implement_trait, reason = "it is called so where it stands in")]
    pub fn from_str(_: &str) -> JsValue {
        JsValue
    }

    /// Of a number.
    pub fn from_f64(_: f64) -> JsValue {
        JsValue
    }
}
