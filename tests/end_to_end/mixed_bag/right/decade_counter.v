module decade_counter (clk, reset, q, tc);
  input clk, reset;
  output [3:0] q;
  output tc;
  reg [3:0] q;
  assign tc = (q == 4'd9);
  always @(posedge clk or posedge reset)
    if (reset) q <= 4'd0;
    else if (q == 4'd9) q <= 4'd0;
    else q <= q + 4'd1;
endmodule
