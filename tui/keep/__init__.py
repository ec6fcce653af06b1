"""Nothing is lost: the journal, the files it is in, crashes."""
