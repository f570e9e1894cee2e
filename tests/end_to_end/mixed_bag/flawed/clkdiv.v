module clock_divider #(parameter DIVISOR = 16) (input clk_in, input reset, output reg clk_out);
  reg [15:0] cnt;
  always @(posedge clk_in)
    if (reset) begin cnt <= 0; clk_out <= 0; end
    else if (cnt == DIVISOR/2) begin cnt <= 0; clk_out <= ~clk_out; end
    else cnt <= cnt + 1;
endmodule
