module pwm8(input clk, input rst, input [7:0] duty, output reg pwm);
 reg [7:0] c; always @(posedge clk) if (rst) begin c <= 0; pwm <= 0; end else begin c <= c + 1; pwm <= c < duty; end
endmodule
