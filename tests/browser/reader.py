"""One calculator on a page, in the words of the person who uses it: labels, buttons, messages."""

from playwright.sync_api import expect

READY = 60_000  # ms; a first start on a busy machine


class Reader:
    """Opens a calculator's page and uses its form as a reader would."""

    def __init__(self, page, name: str):
        self.page, self.name = page, name
        self.form = page.locator(f"form[data-calculator={name}]")
        self.result = page.locator(f"#{name}-result .result-body")
        self.status = self.form.locator("p.status")  # a log has one of its own for its reading

    def open(self, address: str) -> "Reader":
        self.page.goto(address)
        expect(self.form).to_have_attribute("data-state", "ready", timeout=READY)
        return self

    def box(self, name: str):
        return self.form.locator(f"[name='{name}']")

    def field(self, name: str):
        return self.form.locator(f".field[data-field='{name}']")

    def unfold(self, name: str) -> "Reader":
        """Open the folded part that a field lies in."""
        fold = self.form.locator("details").filter(has=self.page.locator(f".field[data-field='{name}']"))
        if fold.count() and fold.first.get_attribute("open") is None:
            fold.first.locator("summary").first.click()
        return self

    def type(self, name: str, text: str) -> "Reader":
        self.unfold(name).box(name).fill(text)
        return self

    def choose(self, name: str, value: str) -> "Reader":
        self.unfold(name).box(name).select_option(value)
        return self

    def press(self) -> "Reader":
        self.form.get_by_role("button", name="Work it out").click()
        return self

    def answered(self) -> str:
        """Wait for an answer and return its sentence."""
        expect(self.result.locator(".answer-sentence, .refusal")).to_be_visible(timeout=READY)
        return self.result.inner_text()
