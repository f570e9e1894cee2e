module div_by_5(input clk, input rst_n, output tick);
  reg [2:0] c;
  always @(posedge clk or negedge rst_n)
    if (!rst_n) c <= 0; else if (c == 5) c <= 0; else c <= c + 1;
  assign tick = c == 4;
endmodule
