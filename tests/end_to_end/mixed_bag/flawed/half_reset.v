module half_reset #(parameter CLK_HZ = 1000) (input clk, input rst, output reg [5:0] sec);
  reg [9:0] pre = 0;
  wire tick = pre == CLK_HZ - 1;
  always @(posedge clk) if (tick) pre <= 0; else pre <= pre + 1;
  always @(posedge clk) if (rst) sec <= 0; else if (tick) sec <= (sec == 60) ? 0 : sec + 1;
endmodule
