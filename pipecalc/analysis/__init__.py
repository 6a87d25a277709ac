"""Model -> results: equipment, hand method, frame, loads and verdicts."""
