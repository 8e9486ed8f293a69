"""What a report says, how it looks, and the reports that were issued."""
