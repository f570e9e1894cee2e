module blinker #(parameter HALF_PERIOD = 25) (input clk, output reg led);
  reg [7:0] n;
  initial begin n = 0; led = 0; end
  always @(posedge clk)
    if (n == HALF_PERIOD) begin n <= 0; led <= !led; end
    else n <= n + 1;
endmodule
