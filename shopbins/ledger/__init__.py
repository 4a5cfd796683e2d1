"""What was recorded, made durable one event at a time, and the documents it folds to."""
