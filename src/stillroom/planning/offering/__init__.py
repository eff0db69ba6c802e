"""The offer: what an enquiry takes to buy, when it can be ready, what it costs, each with its chance."""
