"""What a keeper can get done, a module per subject: a request and plain values in, a frozen result out, no sentences."""
