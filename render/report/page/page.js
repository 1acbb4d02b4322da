
"use strict";
// value reads the number that a cell begins with, with a fraction of an inch where there is one; NaN where there is none.
const value = (text) => {
	const whole = text.match(/^[+-]?\d+(\.\d+)?(?![\d./])/), part = text.match(/^(-?)(?:\d+ )?(\d+)\/(\d+)$/);
	if (!whole && !part) return NaN;
	const sign = text.startsWith("-") ? -1 : 1;
	return (whole ? Number(whole[0]) : 0) + (part ? sign * part[2] / part[3] : 0);
};

for (const table of document.querySelectorAll("table.sorts")) {
	const heads = [...table.tHead.rows[0].cells];
	const body = table.tBodies[0];
	const compare = (a, b) => {
		const x = value(a), y = value(b);
		if (Number.isNaN(x) && Number.isNaN(y)) return a.localeCompare(b);
		if (Number.isNaN(x)) return 1;
		if (Number.isNaN(y)) return -1;
		return x - y;
	};
	heads.forEach((head, column) => {
		const button = document.createElement("button");
		button.type = "button";
		button.title = "sort by this column";
		button.append(...head.childNodes);
		head.append(button);
		button.addEventListener("click", () => {
			const down = head.getAttribute("aria-sort") === "ascending";
			for (const other of heads) other.removeAttribute("aria-sort");
			head.setAttribute("aria-sort", down ? "descending" : "ascending");
			const rows = [...body.rows].map((row) => [row.cells[column].textContent, row]);
			rows.sort((a, b) => down ? compare(b[0], a[0]) : compare(a[0], b[0]));
			for (const [, row] of rows) body.append(row);
		});
	});
}

// On a telephone a picture fits the screen; a tap enlarges it, and it is then moved within its panel.
for (const figure of document.querySelectorAll("figure")) {
	const panel = figure.querySelector(".panel");
	const button = document.createElement("button");
	const turn = (large) => {
		figure.className = large ? "fits large" : "fits";
		button.textContent = large ? "Fit the picture to the screen" : "Enlarge the picture";
		if (large) panel.tabIndex = 0;
		else panel.removeAttribute("tabindex");
	};
	button.type = "button";
	for (const node of [button, panel]) node.addEventListener("click", () => turn(!figure.classList.contains("large")));
	figure.append(button);
	turn(false);
}
