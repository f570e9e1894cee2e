module contador_bcd (input clk, input rst, input hab, output reg [3:0] bcd, output reg acarreo);
  always @(posedge clk or posedge rst)
    if (rst) begin bcd <= 4'b0000; acarreo <= 1'b0; end
    else begin
      acarreo <= 1'b0;
      if (hab) begin
        if (bcd == 4'b1010) begin bcd <= 4'b0000; acarreo <= 1'b1; end
        else bcd <= bcd + 4'b0001;
      end
    end
endmodule
