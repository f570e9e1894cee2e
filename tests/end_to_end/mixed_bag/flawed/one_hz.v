// makes a one second strobe from the 1 MHz oscillator
module one_hz #(parameter CLK_FREQ = 1000000) (input clk, input rst, output reg tick_1hz);
  reg [31:0] count;
  always @(posedge clk)
    if (rst) begin count <= 0; tick_1hz <= 0; end
    else if (count == CLK_FREQ) begin count <= 0; tick_1hz <= 1; end
    else begin count <= count + 1; tick_1hz <= 0; end
endmodule
