"""From formula to jar: sheet, record, cost and declaration of a batch."""
