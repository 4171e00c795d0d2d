"""Speed, as ratios: never collected by the test runner, since no test measures wall time."""
