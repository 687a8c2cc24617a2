"""What a person does on the planning view, for tests in a browser."""

from __future__ import annotations

from typing import Any

from tests.web.browser import until

FIELDS = ("name", "width", "length", "quantity")


def typed(page: Any, parts: list[tuple[str, str, str, str]]) -> None:
    """Type a list of parts (name, width, length, quantity) in place of the one that is there, and a plate for them
    where there is none.
    """
    for _ in range(page.locator('[data-table="part"] [data-remove]').count()):
        page.locator('[data-table="part"] [data-remove]').first.click()
    for part in parts:
        page.get_by_role("button", name="Add a part").click()
        row = line(page, page.locator('[data-table="part"] tbody.line').count() - 1)
        for key, value in zip(FIELDS, part, strict=True):
            row.locator(f'[data-key="{key}"]').fill(value)
    plate = page.locator('[data-table="plate"] tbody.line').first
    if not plate.locator('[data-key="length"]').input_value():
        for key, value in (("name", "sheet"), ("length", "1250"), ("width", "1000"), ("thickness", "6")):
            plate.locator(f'[data-key="{key}"]').fill(value)


def line(page: Any, number: int) -> Any:
    """A line of the parts, counted from 0."""
    return page.locator('[data-table="part"] tbody.line').nth(number)


def names(page: Any) -> list[str]:
    """What stands in the first fields of the parts."""
    found: list[str] = page.evaluate(
        "[...document.querySelectorAll('[data-table=part] [data-key=name]')].map((each) => each.value)"
    )
    return found


def example(page: Any) -> None:
    """Begin with the example."""
    page.get_by_role("button", name="Show me an example").click()


def shown(page: Any) -> str:
    """The id of the plan that is up to date on the page, once its search is over."""
    page.wait_for_selector("#plan:not(.stale) .plan")
    until(page, "!document.querySelector('#enough') && document.querySelector('#stale').hidden")
    text: str = page.locator("#plan .plan").get_attribute("data-plan")
    return text
