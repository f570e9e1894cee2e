module debounce(input clk, input btn, output reg out);
 reg [15:0] c = 0; reg s0 = 0, s1 = 0; initial out = 0;
 always @(posedge clk) begin s0 <= btn; s1 <= s0;
  if (s1 == out) c <= 0; else begin c <= c + 1; if (&c) out <= s1; end end
endmodule
