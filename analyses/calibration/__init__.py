"""The calibration study: series with a stated truth, every way to judge them, and the bars that ours must keep."""
