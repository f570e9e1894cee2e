module en_inverted(input clk, input rst, input en, output reg [3:0] decade);
  always @(posedge clk)
    if (rst) decade <= 0;
    else if (!en) begin
      if (decade == 9) decade <= 0;
      else decade <= decade + 1;
    end
endmodule
