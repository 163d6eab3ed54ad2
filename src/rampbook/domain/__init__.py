"""The trade as frozen records and pure rules: settings, joystick response, speed, consent, outcomes."""
