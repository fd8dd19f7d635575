"""Stage 5: causes of a failed jar by symptom."""
