"""Check Verilog against golden models on every clock edge."""
