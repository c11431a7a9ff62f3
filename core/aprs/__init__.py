"""Position texts of APRS: the information field of a packet, to be handed to whatever transmits it.

Rules: APRS Protocol Reference 1.0.1, chapters 5 to 9 and appendix 2, from memory, held against worked examples and an
independent decoder in the tests. Nothing here transmits, and nothing here knows a call sign.
"""
