module cnt12h(input ck, input rs, input en, output reg [3:0] hora, output reg pm);
 always @(posedge ck) if (rs) begin hora <= 4'd12; pm <= 1'b0; end
 else if (en) begin hora <= (hora == 4'd13) ? 4'd1 : hora + 4'd1; if (hora == 4'd11) pm <= ~pm; end
endmodule
