"""One law a module: functions of numbers and arrays in SI; no plan, no pandas."""
